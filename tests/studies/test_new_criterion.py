"""A local criterion and a view field that are only defined: everything carries them by itself."""

from collections.abc import Iterator
from pathlib import Path

import meshio
import numpy as np
import pytest

from fea.solid.recovery import AXIAL
from fea.stability import criteria
from fea.stability.criteria import PROOF_STRESS, LocalCriterion
from fea.stability.local_buckling import WallStress
from geometry.arrays import Floats
from studies.assessment.limits import limits_of
from studies.assessment.run import StudyRun, run_study
from studies.commands.case_lines import limit_lines
from studies.commands.lines import WIDTH
from studies.files.fields import write_fields
from studies.page import assets, view_fields
from studies.page.curves import charts_of, numbers_of, study_curves
from studies.page.report import report_html
from studies.page.scene import scene
from studies.page.view_fields import StressField
from studies.pictures import zones
from studies.records.case import ResultsRecord
from studies.results.record import results_record
from studies.study_file.study import read_study
from support.pages import short_bar


def stretched(stress: WallStress) -> Floats:
    """Return (P, 1): tension along the tube over a fifth of the proof stress."""
    pulled = np.maximum(np.maximum(stress.outer, stress.inner)[:, AXIAL], 0.0)
    return np.asarray(pulled / (stress.proof_stress_mpa / 5))[:, None]


ADDED = LocalCriterion(
    id="stretch",
    label="stretching",
    gloss="tension along the tube at a fifth of the proof stress",
    inspection="{place}: look for a crack.",
    strengths=(PROOF_STRESS,),
    shares=stretched,
    colour="#123456",
    line_colour="#654321",
)
SHEAR = StressField("shear", "shear stress in the wall", lambda stress: stress[:, -1])


@pytest.fixture(scope="module")
def run(tmp_path_factory: pytest.TempPathFactory) -> Iterator[StudyRun]:
    """Return a short bar, solved while the two are defined."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(criteria, "LOCAL", (*criteria.LOCAL, ADDED))
        patched.setattr(view_fields, "STRESSES", (*view_fields.STRESSES, SHEAR))
        assets.style.cache_clear()
        yield run_study(read_study(short_bar(tmp_path_factory.mktemp("new"), "new", 1.0)))
    assets.style.cache_clear()


@pytest.fixture(scope="module")
def record(run: StudyRun) -> ResultsRecord:
    """Return its record."""
    return results_record(run)


def test_its_map_is_that_of_its_function(run: StudyRun) -> None:
    """Zones and worst places are found in it as in any other."""
    local = run.cases[0].stability.local.used
    assert list(local) == [one.id for one in criteria.LOCAL]
    assert 0 < local[ADDED.id].max() <= 5 * 1.2 * local[criteria.YIELD.id].max()
    (worst,) = [zone for zone in run.cases[0].stability.worst if zone.criterion == ADDED]
    assert worst.utilisation == local[ADDED.id].max()
    assert any(zone.criterion == ADDED for zone in run.cases[0].stability.zones)


def test_limits_and_record_carry_it(run: StudyRun, record: ResultsRecord) -> None:
    """The load over its largest utilisation, with the evidence of its inputs."""
    (limit,) = [one for one in limits_of(run, run.cases[0]) if one.criterion == ADDED]
    assert limit.load_factor == 1 / run.cases[0].stability.local.used[ADDED.id].max()
    told = next(one for one in record.cases[0].limits if one.criterion == ADDED.id)
    assert (told.name, told.load_factor) == (ADDED.label, limit.load_factor)
    assert ResultsRecord.model_validate_json(record.model_dump_json()) == record
    assert any(zone.limit == ADDED.id for zone in record.cases[0].buckling.zones)


@pytest.mark.parametrize("label", [ADDED.label, "stretching beyond a column"])
def test_the_terminal_carries_it(record: ResultsRecord, label: str) -> None:
    """A row of its own, and a label of any length keeps factors and places in their columns."""
    found = record.cases[0].limits
    renamed = [
        one.model_copy(update={"name": label}) if one.criterion == ADDED.id else one
        for one in found
    ]
    head, *rows = limit_lines(renamed)
    assert sum(row.startswith(f"   {label} ") for row in rows) == 1
    at = head.index("place")
    # a row without a name goes on with the cells of the one above
    assert all(row[at - 2 : at] == "  " for row in rows)
    named = [row for row in rows if row[:at].strip()]
    assert len(named) == len(found)
    assert all(row[at - 3].isdigit() for row in named)
    assert all(row[at] != " " for row in named)
    assert max(map(len, rows)) <= WIDTH


def test_the_fields_file_carries_it(run: StudyRun, tmp_path: Path) -> None:
    """As `utilisation_` and its id."""
    write_fields(run, run.cases[0], tmp_path / "push.vtu")
    found = meshio.read(tmp_path / "push.vtu").point_data[f"utilisation_{ADDED.id}"]
    assert found.max() == run.cases[0].stability.local.used[ADDED.id].max()


def test_the_view_carries_both(run: StudyRun, record: ResultsRecord) -> None:
    """As descriptors with all that the scripts need, in the order of the list."""
    fields = {one["id"]: one for one in scene(run, record)["cases"][0]["fields"]}
    added, shear = fields[f"utilisation_{ADDED.id}"], fields[SHEAR.id]
    assert (added["name"], added["range"]) == (f"utilisation, {ADDED.label}", (0.0, 1.2))
    assert (added["surfaces"], added["data"]["columns"]) == (("wall",), 1)
    assert (shear["name"], shear["unit"], shear["signed"]) == (SHEAR.name, "MPa", True)
    assert shear["range"][0] == -shear["range"][1] < 0
    assert (shear["surfaces"], shear["data"]["columns"]) == (("outer", "inner"), 2)
    assert next(iter(fields)) == view_fields.STRESSES[0].id


def test_pages_and_pictures_carry_it(run: StudyRun, record: ResultsRecord) -> None:
    """Its strip, its colours, its line along the bar, its column and its words."""
    case = run.cases[0]
    strips = zones.strips(run, case)
    assert len(strips) == len(criteria.LOCAL)
    tops = [strip.bottom + strip.picture.shape[0] for strip in strips]
    assert max(tops) < zones.bar_pane(run).bottom
    assert any(line.words.startswith(f"{ADDED.label}, at most") for line in zones.headings(case))
    page = report_html(run, record)
    for part in (ADDED.gloss, f'"utilisation_{ADDED.id}"', f'swatch {ADDED.id}"'):
        assert part in page
    assert f".line.{ADDED.id} {{ stroke: {ADDED.line_colour}; }}" in assets.style()
    curves = study_curves(run)[case.placed.case.id]
    assert f"{ADDED.label}, utilisation" in dict(numbers_of(curves).columns)
    assert ADDED.label in {path.name for path in charts_of(curves)[-1].paths}
