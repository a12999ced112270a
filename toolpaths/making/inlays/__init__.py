"""Inlays: a recess and the insert that goes into it, both from one shape."""
