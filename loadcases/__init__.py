"""What is done to the bar: clamp, loads, cases, the catalogue of published cases."""
