"""The manual's formulas: sources as the code states them, files that are there, numbers worked."""

from dataclasses import replace

import pytest

from support.theory import Formula, amiss, failures, formulas

ALL = formulas()
WORKED = [(one.name, text) for one in ALL for text in one.examples]
PAGES = {
    "bands", "beam", "buckling", "clamp", "discretisation", "fatigue", "hoop-yield", "past-yield",
    "preload", "press-records", "solid", "tube-mapping",
}  # fmt: skip


@pytest.mark.parametrize("formula", ALL, ids=lambda formula: formula.name)
def test_a_formula_has_source_validity_and_check(formula: Formula) -> None:
    """Its code defines what is named and states that very source; a test of it knows the code."""
    assert not amiss(formula)


@pytest.mark.parametrize(("name", "example"), WORKED, ids=[name for name, _ in WORKED])
def test_a_worked_number_is_that_of_the_code(name: str, example: str) -> None:
    """As it stands on the page."""
    assert not failures(example), name


def test_every_page_has_formulas() -> None:
    """And most of them a worked number on some page."""
    assert {one.name.partition(":")[0] for one in ALL} == PAGES
    assert len(WORKED) > 20


@pytest.mark.parametrize(
    ("label", "text"),
    [
        ("Code", "`fea/beam/section.py`, `no_such_function`"),
        ("Source", "a paper that the code does not name"),
        ("Checked", "`tests/fea/test_gone.py`"),
        ("Checked", "`tests/page/test_assets.py`"),
        ("Checked", "`tests/studies/test_run.py::test_gone`"),
        ("Valid", ""),
    ],
)
def test_what_is_amiss_is_seen(label: str, text: str) -> None:
    """A name, a source, a test that is gone or knows nothing of it, a label without words."""
    good = next(one for one in ALL if "Shear coefficient" in one.name)
    assert amiss(replace(good, labels={**good.labels, label: text}))


def test_a_wrong_number_is_seen() -> None:
    """By its last digit."""
    assert failures(">>> 1 + 1\n3\n")
    assert not failures(">>> 1 + 1\n2\n")
