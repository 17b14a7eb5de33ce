"""Study files: their format, the study they describe, and changes to it."""
