"""A daily dose of mutated inputs: none ends in a traceback or without end, half are valid."""

from collections import Counter
from collections.abc import Callable
from random import Random

import pytest

from mutations import campaign, mutants
from mutations.campaign import KINDS, RICH, outcomes

DOSE = 120


def test_no_mutant_falls() -> None:
    """Of every kind some are valid and some are refused; another seed than the campaign's."""
    found = [one for _, one in outcomes(DOSE, seed=20)]
    assert not [(one.arguments, one.fault) for one in found if one.fault]
    kinds = Counter(one.kind for one in found)
    assert kinds.keys() == KINDS.keys()
    valid = sum(one.reached or one.code == 0 for one in found)
    assert valid > 0.4 * DOSE
    assert sum(one.code == 2 for one in found) > 0.2 * DOSE


@pytest.mark.parametrize("change", [mutants.gentle_text, mutants.odd_text])
def test_mutants_differ_and_follow_their_seed(change: Callable[[str, Random], str]) -> None:
    """The same seed makes the same mutant; most seeds another text."""
    text = RICH.read_text("utf-8")
    made = [change(text, Random(seed)) for seed in range(30)]  # noqa: S311 no secrets
    again = [change(text, Random(seed)) for seed in range(30)]  # noqa: S311
    assert made == again
    assert len({*made, text}) > 25


def test_a_traceback_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """The campaign itself can fail."""

    def fall(*given: object, **options: object) -> None:
        raise KeyError

    monkeypatch.setattr("studies.study_file.as_measured.read_study", fall)
    code, fault = campaign.called(["check", str(RICH)])
    assert code is None
    assert "KeyError" in fault
