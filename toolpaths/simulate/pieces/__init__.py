"""Findings of what comes loose, and of tabs."""
