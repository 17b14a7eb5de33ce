"""The chain from a study to its limits."""
