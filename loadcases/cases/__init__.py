"""Data files, read through importlib.resources."""
