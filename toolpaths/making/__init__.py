"""Intent to text: what is to be cut becomes motion, in order, and then a program."""
