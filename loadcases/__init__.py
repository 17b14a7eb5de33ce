"""What is done to the bar: clamp, loads, cases, and the catalogue of published and practice cases."""
