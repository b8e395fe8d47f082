"""Fit what a bench really does to a thermocouple run, and plan that run."""
