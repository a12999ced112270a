"""Findings of how a program runs, what it meets, and what it asks of cutter and machine."""
