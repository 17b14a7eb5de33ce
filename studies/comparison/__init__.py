"""Designs beside each other."""
