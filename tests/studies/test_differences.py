"""What differs between designs, and what of it is judged: loads, metals, names, cases."""

from math import inf
from typing import Any

import pytest

from fea.stability.criteria import HOOP_YIELD, YIELD
from studies.comparison.differences import SAME_PERCENT, CaseTable, Row, bar_rows, case_tables
from studies.records.case import LoadPointRecord, ResultsRecord
from studies.records.measures import MEASURES


def _record(
    factor: float, peak: float, mass: float, *, push_n: float = 400.0, at_mm: float = 90.0,
    bare: float | None = None, proof_mpa: float = 276.0, more: tuple[str, ...] = (),
    clamp_mm: float = 40.0, stress_error: float = 0.1, source: str = "own",
    path: object = None,
) -> ResultsRecord:  # fmt: skip
    """Return a record made up of few figures; the rest is left out on purpose."""
    limits = [_made(criterion=YIELD.id, name="first yield", load_factor=factor)]
    worst = [_made(limit=HOOP_YIELD.id, utilisation=inf)]
    load = LoadPointRecord.model_construct(
        side="right", at_mm=at_mm, force_n=(0.0, 0.0, -push_n), moment_nmm=(0.0, 0.0, 0.0)
    )
    cases = [
        _made(
            id=id_, title=id_.capitalize(), governing_factor=factor, nearest_limit=limits[0],
            deflection_mm=5.0, stiffness_n_per_mm=None, peak_stress_mpa=peak, limits=limits,
            yield_factor=bare or factor, ultimate_factor=factor, clamp=None, fatigue=None,
            load_points=[load], source=source,
            error_estimate=_made(deflection_percent=0.01, stress_percent=stress_error),
            supports=None, gauges=[], collapse=path,
            buckling=_made(wrinkling_factor=None, worst=worst, elastic_factor=9.0),
        )
        for id_ in (*more, "push")
    ]  # fmt: skip
    bar, metal = _made(mass_g=mass, end_to_end_mm=700.0), _made(proof_stress_mpa=proof_mpa)
    clamp = _made(
        width_mm=clamp_mm, model="rigid", normal_n_per_mm3=None, tangential_n_per_mm3=None,
        source=None,
    )  # fmt: skip
    return ResultsRecord.model_construct(
        bar=bar, material=metal, cases=cases, fatigue=None, clamp=clamp, clamp_preload=[]
    )


def _rows(*records: ResultsRecord) -> dict[str, Row]:
    """Return the rows of the only case, by their names."""
    (table,) = _tables(*records)
    return {row.name: row for row in table.rows}


def _tables(*records: ResultsRecord) -> tuple[CaseTable, ...]:
    return case_tables(records, [f"bar-{letter}" for letter in "abc"[: len(records)]])


class _Made:
    """Anything with attributes."""


def _made(**values: object) -> _Made:
    made = _Made()
    made.__dict__.update(values)
    return made


@pytest.mark.parametrize(
    ("factor", "judged"),
    [(1.0, "same"), (1.004, "same"), (1.02, "better"), (0.9, "worse")],
)
def test_a_factor_is_better_when_it_is_more(factor: float, judged: str) -> None:
    """And the same below half a percent."""
    assert SAME_PERCENT == 0.5
    rows = _rows(_record(1.0, 200.0, 300.0), _record(factor, 200.0, 300.0))
    assert rows["governing factor"].cells[1].judged == judged


def test_less_stress_and_mass_are_better_and_deflection_is_not_judged() -> None:
    """Whether stiffer is better is not for a program to say."""
    records = [_record(1.0, 200.0, 300.0), _record(1.0, 150.0, 250.0)]
    rows = _rows(*records) | {row.name: row for row in bar_rows(records)}
    assert rows["peak stress, MPa"].cells[1].judged == "better"
    assert rows["mass, g"].cells[1].judged == "better"
    assert rows["deflection, mm"].cells[1].judged == "same"
    assert "stiffness, N/mm" not in rows
    assert rows["hoop yield factor"].cells[1].percent is None


def test_a_case_states_the_load_of_each_design() -> None:
    """Its force and its place stand above its figures."""
    (table,) = _tables(_record(1.0, 200.0, 300.0), _record(1.0, 200.0, 300.0, push_n=450.0))
    assert table.loads == ("400 N down at right 90 mm", "450 N down at right 90 mm")


@pytest.mark.parametrize(
    ("other", "what"),
    [
        ({"push_n": 450.0}, "force"),
        ({"at_mm": 110.0}, "place"),
        ({"push_n": 450.0, "at_mm": 110.0}, "force and place"),
        ({"source": "another class"}, "source of the load"),
        ({"clamp_mm": 38.0}, "clamp width"),
        ({"clamp_mm": 38.0, "push_n": 450.0}, "force and clamp width"),
    ],
)
def test_figures_under_other_loads_have_no_difference(other: dict[str, Any], what: str) -> None:
    """A sentence names design and difference; a third design under the first's load is judged."""
    records = [_record(1.0, 200.0, 300.0), _record(1.2, 150.0, 300.0, **other)]
    (table,) = _tables(*records, _record(1.2, 150.0, 300.0))
    assert table.note == f"bar-b differs from bar-a in {what}: no difference given."
    assert table.alike == (True, False, True)
    judged = [[cell.judged for cell in row.cells[1:]] for row in table.rows[:1]]
    assert judged == [["", "better"]]
    rows = {row.name: row for row in table.rows}
    assert [cell.judged for cell in rows["peak stress, MPa"].cells] == ["first", "", "better"]
    assert {cell.percent for row in table.rows for cell in row.cells[1:2]} == {None}
    # what is of the bar and not of its load is compared
    mass = next(row for row in bar_rows(records) if row.name == "mass, g")
    assert mass.cells[1].percent == 0


def test_what_the_mesh_does_not_resolve_is_the_same() -> None:
    """The larger of half a percent and either design's own error; a deflection has its own."""
    rows = _rows(
        _record(1.0, 200.0, 300.0, stress_error=1.0), _record(1.04, 180.0, 300.0, stress_error=5.0)
    )
    assert rows["governing factor"].cells[1].judged == "same"
    assert rows["governing factor"].cells[1].same_percent == 5.0
    assert rows["peak stress, MPa"].cells[1].judged == "better"
    assert rows["deflection, mm"].cells[1].same_percent == SAME_PERCENT


def test_loads_as_near_as_the_mesh_resolves_are_one() -> None:
    """A tenth of a millimetre and a thousandth of the force are no other load."""
    (table,) = _tables(
        _record(1.0, 200.0, 300.0), _record(1.2, 150.0, 300.0, push_n=400.4, at_mm=90.1)
    )
    assert table.note == ""
    assert table.rows[0].cells[1].judged == "better"


def test_stress_is_not_judged_across_alloys() -> None:
    """Of another proof stress the factor says it; the proof stresses stand with the bars."""
    records = [_record(1.0, 200.0, 300.0), _record(1.5, 150.0, 300.0, proof_mpa=455.0)]
    rows = _rows(*records)
    assert rows["peak stress, MPa"].cells[1].judged == "differs"
    assert rows["peak stress, MPa"].cells[1].percent == pytest.approx(-25.0)
    assert rows["governing factor"].cells[1].judged == "better"
    proof = next(row for row in bar_rows(records) if row.name == "proof stress, MPa")
    assert [cell.value for cell in proof.cells] == [276.0, 455.0]


def test_paths_past_yield_are_rows_where_a_design_has_one() -> None:
    """With the difference from another path; none from a design that has none."""
    paths = [
        _made(yield_load_factor=yields, limit_load_factor=None, permanent_set_mm=set_mm)
        for yields, set_mm in ((1.5, 2.0), (1.8, 1.0))
    ]
    first, second = (_record(1.0, 200.0, 300.0, path=path) for path in paths)
    rows = _rows(first, _record(1.0, 200.0, 300.0), second)
    loads = rows["yield load of the path, x load"].cells
    assert [cell.value for cell in loads] == [1.5, None, 1.8]
    assert [cell.judged for cell in loads] == ["first", "", "better"]
    assert loads[2].percent == pytest.approx(20)
    assert rows["permanent set after the load, mm"].cells[2].judged == "better"
    assert not [name for name in rows if "limit load" in name]
    assert not [name for name in _rows(_record(1.0, 200.0, 300.0)) if "path" in name]


def test_a_limit_has_the_same_name_in_every_row() -> None:
    """That of the governing limit; yield without preload is named where it differs."""
    rows = _rows(_record(1.0, 200.0, 300.0), _record(1.0, 200.0, 300.0))
    assert "first yield factor" in rows
    assert "yield factor" not in rows
    assert "first yield factor without bolt preload" not in rows
    both = _rows(_record(1.0, 200.0, 300.0, bare=1.3), _record(1.0, 200.0, 300.0))
    assert both["first yield factor without bolt preload"].cells[0].value == 1.3
    assert both["first yield factor"].cells[0].value == 1.0
    names = [measure.name for measure in MEASURES]
    assert {"clamp slip factor, low end", "fatigue factor, low end"} <= set(names)
    assert not [name for name in names if name.startswith("slip")]


def test_a_bar_below_the_load_is_marked_and_still_judged() -> None:
    """Beside the name of its limit."""
    rows = _rows(_record(0.9, 200.0, 300.0), _record(0.95, 200.0, 300.0))
    first, second = rows["governing factor"].cells
    assert first.words == "first yield, below the load"
    assert second.words == "first yield, below the load"
    assert second.judged == "better"
    assert _rows(_record(1.0, 1, 1), _record(1.1, 1, 1))["governing factor"].cells[0].words == (
        "first yield"
    )


def test_cases_that_not_all_designs_have_stand_at_the_end() -> None:
    """Though the first design has one first of all."""
    tables = _tables(_record(1.0, 200.0, 300.0, more=("lift",)), _record(1.0, 200.0, 300.0))
    assert [(one.id, one.in_all_designs) for one in tables] == [("push", True), ("lift", False)]
    assert tables[1].loads == ("400 N down at right 90 mm", "")
