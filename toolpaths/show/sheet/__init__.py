"""The sheet for the bench: one page of HTML for the person at the machine."""
