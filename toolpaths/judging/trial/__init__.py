"""One program on one board: its facts, exact heights, and findings."""
