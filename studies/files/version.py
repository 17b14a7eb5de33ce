"""The version of the program, as it was installed."""

from studies.files.provenance import library_version


def barwright_version() -> str:
    """Return the installed version, or `0+unknown` where the code runs from a copy."""
    return library_version("barwright") or "0+unknown"
