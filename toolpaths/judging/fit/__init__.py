"""Two simulated pieces fitted into each other."""
