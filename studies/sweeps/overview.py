"""What the page of a sweep says first, and its sensitivities as bars."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from studies.page.chart import significant
from studies.page.sentence import GAP, Piece
from studies.study_file.format.wording import listed
from studies.sweeps.statistics import Sensitivity
from studies.sweeps.summary import Span, Summary
from studies.sweeps.sweep_results import GOVERNING, MASS, SweepRun

SHOWN = (GOVERNING, MASS)
"""Figures whose sensitivities are drawn; a table holds those of all."""

COMPUTED = "computed"


@dataclass(frozen=True)
class Bar:
    """A sensitivity as it is drawn.

    Attributes:
        input: In words.
        value: In words.
        from_: Of the bar, percent of the axis, whose middle is zero.
        width: Of the bar, likewise.
        whisker: Its 95 % interval from and to, likewise; None without one.
        less: Whether the figure falls where the input grows.
    """

    input: str
    value: str
    from_: float
    width: float
    whisker: tuple[float, float] | None
    less: bool


@dataclass(frozen=True)
class Pull:
    """What moves a figure, the strongest first: the figure, the end of its axis, bars."""

    figure: str
    end: str
    bars: tuple[Bar, ...]


def sentences(run: SweepRun, summary: Summary) -> list[list[Piece]]:
    """Return the range of governing factor and mass, and how many lie below the load."""
    spans = {span.figure: span for span in summary.spans}
    found = [
        _range("Governing factor", spans.get(GOVERNING), " × the load", factor=True),
        _range("Mass", spans.get(MASS), f"{GAP}g"),
        _counts(run, summary),
    ]
    return [pieces for pieces in found if pieces]


def _range(name: str, span: Span | None, unit: str, *, factor: bool = False) -> list[Piece]:
    if span is None:
        return []
    ends = [(span.least, span.least_design), (span.greatest, span.greatest_design)]
    pieces = [Piece(f"{name} ")]
    for value, design, words in ((*ends[0], " to "), (*ends[1], ".")):
        after = f"{unit} (design {design}){words}" if words == "." else f" (design {design}){words}"
        below = factor and value < 1
        pieces += [Piece(significant(value, 3), strong=True, below=below), Piece(after)]
    return pieces


def _counts(run: SweepRun, summary: Summary) -> list[Piece]:
    computed = summary.counts.get(COMPUTED, 0)
    others = [f"{count} {status}" for status, count in summary.counts.items() if status != COMPUTED]
    rest = f"; {listed(others)}" if others else ""
    if run.not_assessed:
        left_out = ", ".join(run.not_assessed)
        return [
            Piece(f"{computed} designs computed{rest}. "),
            Piece(f"Not assessed, so there is no governing limit: {left_out}."),
        ]
    below = summary.designs_below_load
    return [
        Piece(f"{below}", strong=True, below=below > 0),
        Piece(f" of {computed} computed designs with a limit below the load{rest}."),
    ]


def pulls(
    found: Sequence[Sensitivity], names: dict[str, str], inputs: Sequence[str]
) -> Iterator[Pull]:
    """Yield what moves governing factor and mass, of sensitivities of one kind.

    Args:
        found: Sensitivities of all figures.
        names: Of columns, in words.
        inputs: Columns of what varies.
    """
    for figure in SHOWN:
        own = [one for one in found if one.figure == figure and one.input in inputs]
        if not own:
            continue
        ends = [abs(end) for one in own for end in (one.value, one.low, one.high) if end]
        most = max([*ends, 1e-9])
        strongest = sorted(own, key=lambda one: -abs(one.value))
        bars = tuple(_bar(one, names[one.input], most) for one in strongest)
        yield Pull(names[figure], significant(most, 2), bars)


def _bar(one: Sensitivity, name: str, most: float) -> Bar:
    size = 50 * abs(one.value) / most
    low, high = one.low, one.high
    whisker = None if low is None or high is None else (50 + 50 * low / most, 50 + 50 * high / most)
    between = "" if low is None or high is None else f" ({low:.2f} to {high:.2f})"
    text = f"{round(one.value, 2) + 0.0:+.2f}{between}".replace("-", "\u2212")
    return Bar(name, text, 50 - size if one.value < 0 else 50, size, whisker, one.value < 0)
