"""Errors, checks of single arguments, units: what every room may use."""
