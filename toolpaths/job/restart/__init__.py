"""From the text of a program to the text of one that goes on where it was stopped."""
