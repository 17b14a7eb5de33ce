"""Gauges of a study along its paths: added to steps at hand, in the table, the record, the page."""

import csv
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from loadcases.path_control import PathControl
from studies.collapse.path_analysis import TraceOptions, trace_paths
from studies.collapse.path_gauges import path_gauge_records
from studies.page.past_yield import past_yield
from studies.page.path_graphs import MOST_GAUGES, gauge_graphs
from studies.records.case import CaseRecord
from studies.study_file.study import Study, read_study
from support.pages import short_bar
from support.paths import case_with, path_of, record_of, usual

GAUGES = """
[[gauges]]
name = "dial"
kind = "dial"
side = "right"
from_end_mm = 30
[[gauges]]
name = "top"
kind = "strain"
at_mm = 50
"""


def study(folder: Path, more: str = "") -> Study:
    """Return the short bar."""
    folder.mkdir()
    return read_study(short_bar(folder, "pier", 1.6, more))


def test_a_gauge_is_added_to_steps_at_hand(tmp_path: Path) -> None:
    """A finished path is read, not traced; what it reads is that of a path traced with it."""
    control = {"push": PathControl(0.1)}
    bare = trace_paths(study(tmp_path / "a"), control, tmp_path / "a", TraceOptions())["push"]
    assert bare.steps[0].gauges == ()
    gauged = study(tmp_path / "b", GAUGES)
    again = TraceOptions(resume=True)
    read = trace_paths(gauged, control, tmp_path / "a", again)["push"]
    assert read.reused == len(bare.steps) == len(read.steps)
    fresh = trace_paths(gauged, control, tmp_path / "b", TraceOptions())["push"]
    ours, theirs = ([step.gauges for step in path.steps] for path in (read, fresh))
    np.testing.assert_allclose(ours, theirs, rtol=1e-6)
    with (tmp_path / "b" / "collapse" / "push" / "curve.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    table = [[float(row["gauge:dial_mm"]), float(row["gauge:top_um_per_m"])] for row in rows]
    np.testing.assert_allclose(table, theirs, rtol=1e-6)
    # the dial stands on the middle of the band whose mean the deflection is
    assert theirs[-1][0] == pytest.approx(fresh.steps[-1].reading.deflection, rel=0.03)


def test_the_record_and_the_page_have_them(tmp_path: Path) -> None:
    """One entry a step with its unit; a graph a gauge, of load against reading."""
    gauged = study(tmp_path / "c", GAUGES)
    path = path_of(usual())
    steps = tuple(replace(s, gauges=(float(n), -100.0 * n)) for n, s in enumerate(path.steps))
    path = replace(path, steps=steps)
    run, _ = case_with(path)
    dial, top = path_gauge_records(replace(run, study=gauged), path)
    assert (dial.name, dial.unit, top.unit) == ("dial", "mm", "um/m")
    assert dial.at.text == "right 90 mm, top"
    assert dial.readings == [float(n) for n in range(len(steps))]
    record = record_of(path_of(usual())).model_copy(update={"gauges": [dial, top] * 4})
    assert len(gauge_graphs(record)) == MOST_GAUGES
    first, second, *_ = gauge_graphs(record)
    assert first.across == "dial, mm, at right 90 mm, top"
    assert second.across.startswith("top, µm/m, at right 50 mm")
    # to the left for a strain below zero
    assert second.dots[-1].x < second.dots[0].x
    assert first.dots[-1].x > first.dots[0].x
    shown = past_yield(CaseRecord.model_construct(collapse=record))
    assert shown is not None
    assert len(shown.gauges) == MOST_GAUGES


def test_a_gauge_that_does_not_move_has_a_graph() -> None:
    """Its axis has a width all the same."""
    path = path_of(usual())
    still = record_of(path)
    gauge = {"name": "still", "kind": "dial", "unit": "mm", "readings": [0.0] * len(path.steps)}
    place = {"s_mm": 0.0, "theta_deg": 0.0, "surface": "outer", "rule": "", "text": "clamp"}
    told = still.model_dump() | {"gauges": [gauge | {"at": place}]}
    (graph,) = gauge_graphs(type(still).model_validate(told))
    assert len({dot.x for dot in graph.dots}) == 1
