"""Commands and options of earlier versions, each refused with its new name."""

from collections.abc import Sequence

from geometry.errors import refuse

COMMANDS = {"lighten": "optimise"}

OPTIONS = {
    "--least-yield-factor": "--min-yield-factor",
    "--least-governing-factor": "--min-governing-factor",
    "--least-fatigue-factor": "--min-fatigue-factor",
    "--most-wall-used": "--max-wall-utilisation",
    "--most-deflection-mm": "--max-deflection-mm",
    "--to-mm": "--displacement-mm",
    "--keep": "--measure",
    "--indices": "--sobol-indices",
}


def refuse_renamed(arguments: Sequence[str]) -> None:
    """Refuse a command or an option that has a new name.

    Raises:
        InputError: One is given.
    """
    if arguments and (command := COMMANDS.get(arguments[0])):
        raise refuse(arguments[0], f"is now called {command}")
    for argument in arguments:
        if option := OPTIONS.get(argument.partition("=")[0]):
            raise refuse(argument.partition("=")[0], f"is now called {option}")
