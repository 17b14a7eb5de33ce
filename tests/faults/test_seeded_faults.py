"""The list of seeded faults fits the code: each can be seeded, and its tests are there."""

from pathlib import Path

import pytest

from faults.seeded_faults import ROOT, Fault, listed, seeded_text

FAULTS = listed()


def test_there_are_forty_spread_over_all_packages() -> None:
    """Formulas of each package, and the page's scripts."""
    assert len(FAULTS) >= 40
    assert {fault.file.split("/")[0] for fault in FAULTS} == {
        "geometry", "loadcases", "fea", "studies",
    }  # fmt: skip
    assert any(fault.file.endswith(".js") for fault in FAULTS)


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: f"{fault.file}: {fault.find}")
def test_a_fault_can_be_seeded(fault: Fault) -> None:
    """Its text stands once in its file, and the tests that must catch it stand where they did."""
    assert seeded_text(ROOT, fault) != (ROOT / fault.file).read_text(encoding="utf-8")
    for node in fault.tests:
        path, _, name = node.partition("::")
        place = Path(ROOT / path)
        assert place.exists(), node
        assert not name or f"def {name}(" in place.read_text(encoding="utf-8"), node
