"""Numbers to begin with: speeds, feeds and depths, each with its source."""
