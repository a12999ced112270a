"""Every check of a program, a folder a family."""
