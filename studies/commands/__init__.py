"""The `barwright` commands, one file each."""
