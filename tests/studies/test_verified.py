"""Limits compete by the low end of their ranges; `--verified` leaves out what is not verified."""

from collections.abc import Sequence
from types import SimpleNamespace
from typing import Any

import pytest

from studies.commands import run as command
from studies.commands.main import main
from studies.records.case import CaseRecord, ResultsRecord
from studies.records.fatigue import FatigueRecord
from studies.records.limit import LimitRecord
from studies.records.measures import governing, governing_verified, not_verified
from support.pages import short_bar

PROOF_MPA = 300.0


def limit(name: str, factor: float, *, verified: bool) -> LimitRecord:
    """Return a limit made of what is compared."""
    return LimitRecord.model_construct(name=name, load_factor=factor, verified=verified)


def life(factor: float | None, low: float | None = None) -> FatigueRecord:
    """Return a fatigue life made of its factor."""
    ends = None if low is None else (low, 9.0)
    return FatigueRecord.model_construct(factor=factor, factor_range=ends)


def case(name: str, limits: Sequence[LimitRecord], fatigue: FatigueRecord | None = None) -> Any:
    """Return a case with limits, the nearest first, and a light load band."""
    return CaseRecord.model_construct(
        id=name, limits=list(limits), governing_factor=limits[0].load_factor,
        load_band_peak_mpa=30.0, fatigue=fatigue,
    )  # fmt: skip


def record(*cases: Any, together: FatigueRecord | None = None) -> ResultsRecord:
    """Return results of these cases."""
    metal: Any = SimpleNamespace(proof_stress_mpa=PROOF_MPA)
    return ResultsRecord.model_construct(cases=list(cases), material=metal, fatigue=together)


YIELD = limit("first yield", 2.0, verified=True)
PUSH = case("push", [limit("fatigue", 0.9, verified=False), YIELD], life(1.2, 0.9))
TWIST = case("twist", [limit("clamp slip", 1.1, verified=False), YIELD])
BOTH = record(PUSH, TWIST)


def judged(
    told: ResultsRecord, monkeypatch: pytest.MonkeyPatch, tmp_path: Any, *options: str
) -> int:
    """Return the exit code of a run that comes to a record."""
    monkeypatch.setattr(command, "computed", lambda *_: told)
    monkeypatch.chdir(tmp_path)
    return main(["run", str(short_bar(tmp_path, "pier", 1.6)), *options])


def test_verified_limits_govern_among_themselves() -> None:
    """Fatigue at 0.9 governs by its low end; of verified limits first yield at 2 does."""
    nearest, verified = governing(BOTH), governing_verified(BOTH)
    assert (nearest.factor, nearest.limit, nearest.case) == (0.9, "fatigue", "push")
    assert verified is not None
    assert (verified.factor, verified.limit, verified.case) == (2.0, "first yield", "push")
    assert [one.name for one, _ in not_verified(BOTH)] == ["fatigue", "clamp slip"]
    assert governing_verified(record(case("only", PUSH.limits[:1]))) is None


def test_all_stages_together_govern_by_their_low_end() -> None:
    """Middle 1.3 would lie behind 0.9, the careful 0.7 does not."""
    nearest = governing(record(PUSH, together=life(1.3, 0.7)))
    assert (nearest.factor, nearest.case) == (0.7, "all repeated loads")


@pytest.mark.parametrize(
    ("options", "code"),
    [
        (("--fail-under", "0.89"), 0),
        # 1.0 lies between the low end and the middle of fatigue
        (("--fail-under", "1.0"), 1),
        (("--fail-under", "1.9", "--verified"), 0),
        (("--fail-under", "2.1", "--verified"), 1),
        (("--verified",), 0),
    ],
)
def test_fail_under_judges_low_ends_or_verified_limits(
    options: tuple[str, ...], code: int, monkeypatch: pytest.MonkeyPatch, tmp_path: Any
) -> None:
    """0.9 of all limits, 2.0 of the verified ones, each on both sides."""
    assert judged(BOTH, monkeypatch, tmp_path, *options) == code


def test_what_verified_leaves_out_is_named(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each kind once with its least low end, all stages together, and lives not known."""
    second = case("pull", [limit("clamp slip", 1.4, verified=False), YIELD], life(None))
    told = record(PUSH, TWIST, second, together=life(1.1, 0.8))
    assert judged(told, monkeypatch, tmp_path, "--verified", "--fail-under", "1.5") == 0
    assert capsys.readouterr().err.splitlines() == [
        "barwright: not judged, inputs not verified: fatigue, 0.9 x load at its least",
        "barwright: not judged, inputs not verified: clamp slip, 1.1 x load at its least",
        "barwright: not judged, inputs not verified: fatigue, all stages together, 0.8 x load at "
        "its least",
        "barwright: not judged, no factor known: fatigue of pull",
    ]


def test_nothing_verified_passes_no_limit(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    """With every limit left out nothing is judged, so nothing is passed."""
    told = record(case("only", PUSH.limits[:1]))
    assert judged(told, monkeypatch, tmp_path, "--verified", "--fail-under", "0.1") == 1
    assert "no limit of only rests on verified inputs alone" in capsys.readouterr().err


def test_each_case_needs_a_verified_limit(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    """As in a search: what is not judged passes nothing, whatever the other cases say."""
    told = record(PUSH, case("only", PUSH.limits[:1]))
    assert judged(told, monkeypatch, tmp_path, "--verified", "--fail-under", "0.1") == 1
    said = capsys.readouterr().err
    assert "no limit of only rests on verified inputs alone, so no factor holds" in said
    assert judged(told, monkeypatch, tmp_path, "--verified") == 0
    # without the option the case is judged by what it has
    assert judged(told, monkeypatch, tmp_path, "--fail-under", "0.8") == 0


def test_yield_in_a_load_band_is_judged_all_the_same(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Any
) -> None:
    """300 MPa over 250 MPa in a band is 1.2, nearer than the verified 2.0."""
    hot = case("hot", [YIELD]).model_copy(update={"load_band_peak_mpa": 250.0})
    call = ("--verified", "--fail-under")
    assert judged(record(hot), monkeypatch, tmp_path, *call, "1.19") == 0
    assert judged(record(hot), monkeypatch, tmp_path, *call, "1.21") == 1
