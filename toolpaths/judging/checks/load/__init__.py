"""What a cut asks of the cutter."""
