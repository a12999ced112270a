"""A test cut on scrap, and what its measures say of cutter, axes and zeros."""
