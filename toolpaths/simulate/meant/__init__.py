"""Findings against the part meant."""
