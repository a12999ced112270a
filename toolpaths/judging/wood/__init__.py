"""The wood and what moves take from it: cells, and nothing of programs."""
