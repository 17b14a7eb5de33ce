"""The page of a run and the comparison of designs: one HTML file each, complete in itself."""
