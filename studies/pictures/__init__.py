"""The pictures of a run: what they show, the sheet round it, and two ways to draw."""
