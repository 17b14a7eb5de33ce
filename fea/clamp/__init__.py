"""Tightened clamps: preload and its stress, slip, contact that only presses."""
