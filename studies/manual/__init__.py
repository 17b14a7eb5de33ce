"""The manual: how-tos, and the formulas with their sources."""
