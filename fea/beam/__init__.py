"""The independent solution: a curved Timoshenko beam on the clamp foundation, without the solid."""
