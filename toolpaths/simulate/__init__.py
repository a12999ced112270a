"""Judges the text of a program: removes wood, and finds what is wrong. Knows nothing of what made the text."""

from toolpaths.simulate.field import Stock, whole_board
from toolpaths.simulate.findings import Finding
from toolpaths.simulate.report import Report
from toolpaths.simulate.run import simulate

__all__ = ["Finding", "Report", "Stock", "simulate", "whole_board"]
