"""Supports beside the clamp: which of them touch, stick or slide, and with what force."""
