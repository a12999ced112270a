"""Text to findings. Knows nothing of what made the text."""
