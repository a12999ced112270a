"""Text out: RS-274 programs."""
