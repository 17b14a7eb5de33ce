"""The mechanics: elements, assembly, solution, stress, and the independent beam."""
