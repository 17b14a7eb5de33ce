"""Paths past yield: traced, stored step by step, and their results in records and text."""
