"""What goes into the finished part, held against the part as simulated."""
