"""Pages that lead through a task, each command run by a test."""
