"""Buckling of the bar as a whole and of its wall, place by place."""
