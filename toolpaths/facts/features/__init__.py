"""What a part may have: one feature in each file, and what all of them answer."""
