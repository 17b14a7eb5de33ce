"""What the process ends with; 0 is computed, and anything else than these is a bug."""

LIMIT_NOT_MET = 1
BAD_INPUT = 2
NUMERICAL_FAILURE = 3
INTERRUPTED = 130
PIPE_CLOSED = 141
