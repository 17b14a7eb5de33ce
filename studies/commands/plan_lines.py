"""What `barwright plan` prints: the steps, and what they rest on."""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from studies.commands.lines import labelled, wrapped
from studies.commands.output import CAUTION, printable, table
from studies.page.plan_page import band_words, gauge_words, travel_words
from studies.records.places import grouped

if TYPE_CHECKING:
    from rich.console import RenderableType
    from rich.table import Table

    from studies.bench.plan_record import PlanRecord


def plan_lines(plan: "PlanRecord", page: Path) -> "Iterator[RenderableType]":
    """Yield head, table of steps or cycles, marks of the curve, notes and where the page is."""
    yield "\n".join(_head(plan))
    yield _cycles(plan) if plan.cycle else _steps(plan)
    unit, way = plan.expected.load_unit, plan.expected.travel_unit
    marks = "; ".join(
        f"{one.name} {one.load:.0f} {unit} at {one.travel:.1f} {way}" for one in plan.expected.marks
    )
    yield "\n".join(
        [
            *labelled("Expected", marks),
            *labelled("Basis", plan.expected.from_where),
            *(line for one in plan.notes for line in labelled("Note", one)),
        ]
    )
    yield ""
    yield "\n".join(wrapped(CAUTION))
    yield ""
    yield f"Page to print: {printable(str(page))}"


def _head(plan: "PlanRecord") -> Iterator[str]:
    yield printable(f"{plan.study.name}: plan of a test, {plan.test.title} ({plan.test.case})")
    yield from labelled("Bar", f"{plan.bar.name}, {plan.bar.material}; {plan.bar.held}")
    yield from labelled("Load", plan.test.loads)
    for one in plan.test.requirements:
        value = "" if one.value == "visual" else f": {one.value}"
        yield from labelled("Requirement", f"{one.meaning}{value} ({one.evidence})")


def _steps(plan: "PlanRecord") -> "Table":
    gauge = [f"gauge\n{plan.gauge.unit}", ""] if plan.gauge else []
    units = plan.expected.load_unit, plan.expected.travel_unit
    heads = [f"load\n{units[0]}", *gauge, f"travel\n{units[1]}", f"95 %\n{units[1]}", "hold"]
    rows = table("Steps", "", *heads, words=1)
    for one in plan.steps:
        read = [gauge_words(one.gauge, plan), one.gauge.remark if one.gauge else ""]
        rows.add_row(
            f"{one.number:2d}  {one.what}",
            f"{one.load:.0f}",
            *(read if plan.gauge else []),
            travel_words(one),
            band_words(one),
            f"{one.hold_s:g} s" if one.hold_s else "",
        )
    return rows


def _cycles(plan: "PlanRecord") -> "Table":
    gauge = [f"gauge\n{plan.gauge.unit}", ""] if plan.gauge else []
    units = plan.expected.load_unit, plan.expected.travel_unit
    cycle = plan.cycle
    count = f"{grouped(cycle.cycles)} cycles" if cycle and cycle.cycles else "Cycles by your test"
    rows = table(count, "", f"load\n{units[0]}", *gauge, f"travel\n{units[1]}", words=1)
    for end in cycle.ends if cycle else []:
        read = [gauge_words(end.gauge, plan), end.gauge.remark if end.gauge else ""]
        read = read if plan.gauge else []
        rows.add_row(printable(end.name), f"{end.load:.0f}", *read, f"{end.travel:.2f}")
    return rows
