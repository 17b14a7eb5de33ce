"""What a comparison shows first: pictures on one ruler, letters on one ladder, a sentence."""

import io
from base64 import b64decode
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from geometry.arrays import Floats
from studies.assessment.run import run_study
from studies.comparison.bar_pictures import (
    DOTS_PER_MM,
    bar_pictures,
    ruler,
    ruler_ends_mm,
)
from studies.comparison.comparison_page import comparison_html
from studies.comparison.designs import Design, design_of_run
from studies.comparison.limits_beside import limits_beside, shared_ids
from studies.comparison.overview import key_rows, sentences
from studies.page.ladder import ladder
from studies.page.sentence import Piece
from studies.page.view_fields import LEAST_SCALE
from studies.pictures.palette import ramp
from studies.records.case import ResultsRecord
from studies.records.parts import governing_case
from studies.study_file.study import read_study
from support.pages import short_bar

LIFT = """
[[cases]]
id = "lift"
title = "Lift on the left"
loads = [{ side = "left", from_end_mm = 30, force_n = [-3000, 0, 1900], band_mm = 20 }]
"""
HALF_MM = 120.0


@pytest.fixture(scope="module")
def designs(tmp_path_factory: pytest.TempPathFactory) -> list[Design]:
    """Return a bar, a thinner one, and one with a case more, which governs it."""
    folder = tmp_path_factory.mktemp("beside")
    given = (("thick", 2.0, ""), ("thin", 1.6, ""), ("lifted", 1.8, LIFT))
    paths = [short_bar(folder, *one) for one in given]
    return [design_of_run(run_study(read_study(path), level="coarse")) for path in paths]


@pytest.fixture(scope="module")
def records(designs: list[Design]) -> list[ResultsRecord]:
    """Return what results.json holds of each."""
    return [design.record for design in designs]


def drawn(uri: str) -> Floats:
    """Return a picture of the page (rows, columns, 4), 0 to 1."""
    picture = Image.open(io.BytesIO(b64decode(uri.partition(",")[2]))).convert("RGBA")
    return np.asarray(picture) / 255


def text_of(pieces: list[Piece]) -> str:
    """Return a sentence, without its no-break spaces."""
    return "".join(piece.text for piece in pieces).replace("\u00a0", " ")


def test_a_strip_is_dark_where_its_ring_is(designs: list[Design]) -> None:
    """There the colour is that of one over the governing factor, on the scale that ends at 1.2."""
    for design, picture in zip(designs, bar_pictures(designs), strict=True):
        limit = governing_case(design.record.cases).nearest_limit
        mark, strip = picture.strip_ring, drawn(picture.strip)
        assert mark is not None
        assert limit.s_mm is not None
        assert mark.left == pytest.approx(100 * (limit.s_mm + HALF_MM) / (2 * HALF_MM), abs=0.01)
        column = round(mark.left / 100 * (strip.shape[1] - 1))
        row = min(int(mark.top / 100 * strip.shape[0]), strip.shape[0] - 1)
        wanted = ramp(np.array(1 / limit.load_factor / LEAST_SCALE))
        # the place lies between others, and the picture is compressed
        assert np.abs(strip[row, column, :3] - wanted).max() < 0.06
        assert picture.sides[1] == ("underside" if "underside" in limit.place else "top")
    assert {picture.sides[1] for picture in bar_pictures(designs)} == {"underside", "top"}


def test_bars_are_drawn_in_one_scale(designs: list[Design]) -> None:
    """A straight bar is as long as it is, as thick as it is, and its ring stands at its s."""
    for design, picture in zip(designs, bar_pictures(designs), strict=True):
        cover = drawn(picture.bar)[..., 3] > 0.5
        assert np.ptp(np.flatnonzero(cover.any(axis=0))) == pytest.approx(
            2 * HALF_MM * DOTS_PER_MM, abs=3
        )
        assert np.ptp(np.flatnonzero(cover.any(axis=1))) == pytest.approx(25.4 * DOTS_PER_MM, abs=3)
        limit = governing_case(design.record.cases).nearest_limit
        assert picture.ring is not None
        across = 50 + 50 * (limit.s_mm or 0) / (HALF_MM + 1)
        assert picture.ring.left == pytest.approx(across, abs=0.5)


def test_the_ruler_has_places_without_signs(designs: list[Design]) -> None:
    """A figure each 100 mm, counted from the clamp centre, which is in the middle."""
    ends = ruler_ends_mm([design.scene for design in designs])
    found = ruler(ends)
    assert [words for words, _ in found.figures] == ["100", "0", "100"]
    assert found.figures[1][1] == pytest.approx(50)
    assert len(found.ticks) == 5


def test_letters_stand_on_one_axis(records: list[ResultsRecord]) -> None:
    """Of the cases that all have; a design's own ladder has the same factors and places."""
    beside = limits_beside(records)
    assert beside.shared
    assert shared_ids(records) == ["push", "pull"]
    cases = {rung.case[1] for limit in beside.limits for _, rung in limit.rungs}
    assert cases <= {"push", "pull"}
    own = {rung.name: rung for rung in ladder(records[1]).rungs}
    for limit in beside.limits:
        for number, rung in limit.rungs:
            if number == 1:
                assert (rung.factor, rung.place) == (own[limit.name].factor, own[limit.name].place)
    first = beside.limits[0].rungs
    # on a logarithmic axis a ratio of factors is a distance: thick, thin
    span = beside.limits[-1].rungs
    ratio = float(first[0][1].factor) / float(first[1][1].factor)
    other = float(span[0][1].factor) / float(first[0][1].factor)
    distance = (first[0][1].at - first[1][1].at) / (span[0][1].at - first[0][1].at)
    assert distance == pytest.approx(np.log(ratio) / np.log(other), abs=0.01)


def test_without_a_shared_case_each_design_keeps_its_own(records: list[ResultsRecord]) -> None:
    """No figure but the mass is compared then, and the page says so."""
    alone = [case for case in records[2].cases if case.id == "lift"]
    pair = [records[0], records[2].model_copy(update={"cases": alone})]
    beside = limits_beside(pair)
    assert not beside.shared
    assert [row.name for row in key_rows(pair)] == ["mass, g"]
    (pieces,) = sentences(pair, key_rows(pair))
    factors = [record.cases for record in pair]
    for cases in factors:
        assert f"{governing_case(cases).governing_factor:.2f}" in text_of(pieces)
    assert text_of(pieces).count("%") == 1


def test_the_sentence_says_what_the_change_does(records: list[ResultsRecord]) -> None:
    """Factor and mass of both, their differences with signs; of many from where to where."""
    rows = {row.name: row for row in key_rows(records[:2])}
    (pieces,) = sentences(records[:2], tuple(rows.values()))
    factors = [governing_case(one.cases).governing_factor for one in records]
    percent = 100 * (factors[1] / factors[0] - 1)
    mass = 100 * (1.6 * (25.4 - 1.6) / (2.0 * (25.4 - 2.0)) - 1)
    assert rows["mass, g"].cells[1].percent == pytest.approx(mass, abs=0.05)
    assert text_of(pieces) == (
        f"B against A: governing factor {factors[1]:.2f} against {factors[0]:.2f} × the load, "
        f"{percent:+.1f} %; mass {records[1].bar.mass_g:.0f} against {records[0].bar.mass_g:.0f} g"
        f", {mass:+.1f} %.".replace("-", "\u2212")
    )
    three = [text_of(pieces) for pieces in sentences(records, key_rows(records))]
    listed = ", ".join(f"{one} {f:.2f}" for one, f in zip("ABC", factors, strict=True))
    assert three[0] == f"Governing factor {listed} × the load."
    many = [text_of(one) for one in sentences([*records, records[1]], key_rows(records))]
    assert many[0].startswith(f"Governing factor from {min(factors):.2f} (")
    assert f"to {max(factors):.2f} × the load (" in many[0]
    assert many[1].startswith(f"Mass from {records[1].bar.mass_g:.0f} (B)")


def test_another_clamp_leaves_the_mass_alone_to_compare(records: list[ResultsRecord]) -> None:
    """Its width is part of the set-up: factors stand, and no difference is given."""
    clamp = records[1].clamp.model_copy(update={"width_mm": 30.0})
    rows = key_rows([records[0], records[1].model_copy(update={"clamp": clamp})])
    percents = {row.name: row.cells[1].percent for row in rows}
    assert percents.pop("mass, g") is not None
    assert set(percents.values()) == {None}
    assert all(row.cells[1].value for row in rows)


def test_a_case_has_columns_of_its_own_designs_alone(designs: list[Design]) -> None:
    """Of the three one has it; dashes for the others would say nothing."""
    page = comparison_html(designs)
    parts = {
        name: page.partition(f'<article class="case" data-case="{name}">')[2].partition("</thead>")[
            0
        ]
        for name in ("push", "lift")
    }
    assert [parts[name].count('<span class="name">') for name in ("push", "lift")] == [3, 1]
    assert "lifted bar" in parts["lift"]


def test_the_page_stands_without_scripts(designs: list[Design], tmp_path: Path) -> None:
    """Pictures, rings, letters, bars of differences and the loads are in its text."""
    page = comparison_html(designs[:2])
    body = page.partition("<body")[2].partition('<script id="designs"')[0]
    assert body.count('class="place"') == 4
    assert body.count("data:image/webp") == 4
    assert body.count('class="by ') > 10
    assert '<th scope="row">load</th><td>400 N down' in body
    assert '<th scope="row">clamp</th><td>40 mm, elastic</td>' in body
    assert "safe" not in body.lower()
    assert str(tmp_path) not in page
