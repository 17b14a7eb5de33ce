"""What `--verified` says of the limits that it leaves out."""

from typing import TYPE_CHECKING

from studies.commands.output import say

if TYPE_CHECKING:
    from studies.records.case import ResultsRecord


def say_not_judged(record: "ResultsRecord") -> None:
    """Name each kind of limit that --verified leaves out, with the least low end of it."""
    from studies.records.measures import not_verified

    least: dict[str, float] = {}
    for limit, _ in not_verified(record):
        least.setdefault(limit.name, limit.load_factor)
    together = record.fatigue.low_factor if record.fatigue else None
    if together is not None:
        least["fatigue, all stages together"] = together
    for name, factor in least.items():
        say(f"barwright: not judged, inputs not verified: {name}, {factor:.3g} x load at its least")
    if unknown := without_fatigue(record):
        say(f"barwright: not judged, no factor known: fatigue of {', '.join(unknown)}")


def without_fatigue(record: "ResultsRecord") -> list[str]:
    """Return the repeated cases whose fatigue nothing is known of."""
    return [case.id for case in record.cases if case.fatigue and case.fatigue.factor is None]
