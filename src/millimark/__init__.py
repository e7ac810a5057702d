"""Millimark: ruler-and-compasses work on paper, set, printed, shown and marked."""

__version__ = "0.1.0"
