"""What is to be cut, a value each, and how: one file an operation."""
