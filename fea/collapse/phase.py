"""The phases of a path: its loads grow, are taken away and are put on again."""

from enum import StrEnum


class Phase(StrEnum):
    """What the loads do in a part of a path; each cycle passes them in this order."""

    LOADING = "loading"
    UNLOADING = "unloading"
    RELOADING = "reloading"
