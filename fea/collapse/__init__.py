"""Past yield: large displacements, plasticity, and the path of load against deflection."""
