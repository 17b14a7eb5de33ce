"""The records of results.json, and measures of them."""
