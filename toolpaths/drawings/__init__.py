"""Drawings of others: SVG and DXF files in as curves, and out again."""
