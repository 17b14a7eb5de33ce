"""Bars on their way to collapse: paths that are kept step by step, and what they say."""
