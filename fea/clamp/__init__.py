"""Preloaded clamps: preload stress, slip, unilateral contact."""
