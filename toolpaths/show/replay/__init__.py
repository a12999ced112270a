"""A program played in a browser: what the page holds is worked out here, the page only shows it."""
