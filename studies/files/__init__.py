"""Files and folders: whole results folders, checkpoints, field files."""
