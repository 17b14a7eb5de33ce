"""From a run to results.json and its files."""
