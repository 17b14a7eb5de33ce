"""Boundary conditions of the bar: clamp, loads, cases, the catalogue of published cases."""
