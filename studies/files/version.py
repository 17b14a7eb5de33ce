"""The version of the program, as it was installed."""

from importlib.metadata import PackageNotFoundError, version


def barwright_version() -> str:
    """Return the installed version, or `0+unknown` where the code runs from a copy."""
    try:
        return version("barwright")
    except PackageNotFoundError:
        return "0+unknown"
