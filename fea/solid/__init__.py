"""The solid: elements, assembly, clamp foundation, solution, stress recovery and its error."""
