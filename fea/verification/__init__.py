"""Comparison of solid and beam, and the checks of every run."""
