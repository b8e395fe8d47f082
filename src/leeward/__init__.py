"""Leeward: what a hot-air rework of one part will do to the board around it."""

__version__ = "0.1.0"
