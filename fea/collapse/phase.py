"""The phases of a path: loading, unloading, reloading."""

from enum import StrEnum


class Phase(StrEnum):
    """What the loads do in a part of a path; each cycle passes them in this order."""

    LOADING = "loading"
    UNLOADING = "unloading"
    RELOADING = "reloading"
