"""All programs of all sides, and what holds only between them."""
