"""What sets solid and beam side by side, and the checks of every run."""
