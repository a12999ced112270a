"""Judges the text of a program: removes wood, and finds what is wrong. Knows nothing of what made the text."""

from toolpaths.simulate.report import Report
from toolpaths.simulate.run import simulate
from toolpaths.simulate.trial.findings import Finding
from toolpaths.simulate.wood.field import Stock, whole_board

__all__ = ["Finding", "Report", "Stock", "simulate", "whole_board"]
