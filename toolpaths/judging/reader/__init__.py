"""Text in: programs read back into motions."""
