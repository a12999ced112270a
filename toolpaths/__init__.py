"""Shapes, toolpaths, G-code and its verification for two-sided work on a small router."""
