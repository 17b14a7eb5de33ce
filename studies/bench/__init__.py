"""Records of a press, reduced to stiffness, loads and permanent set, each with an interval."""
