"""What a case's test states on its permanent set: how much, and after what hold."""

from loadcases.case import Case


def allowed_set_mm(case: Case) -> float | None:
    """Return the permanent set that a case's test allows, None where it states none."""
    return next((one.value for one in case.limits if one.name == "permanent_set_mm"), None)


def hold_min(case: Case) -> float | None:
    """Return for how many minutes a case's test holds its load, None where it states none."""
    return next((one.value for one in case.figures if one.name == "hold_min"), None)
