"""Fatigue life and the factor to it."""
