"""A toolpath, and what it took."""
