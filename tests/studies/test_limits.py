"""What ends each load case, in records, words and exit codes, on a short bar with everything."""

import json
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from fea.clamp import clamping
from fea.clamp.contact import ContactLossError
from fea.stability.criteria import (
    CONTACT_LOSS,
    LOCAL,
    LOCAL_BUCKLING,
    YIELD,
    every_criterion,
    every_mode,
)
from fea.stability.zones import THRESHOLD, Zone
from studies.assessment.limits import CLAMP_STIFFNESS, limits_of, zone_in_words
from studies.assessment.run import StudyRun, run_study
from studies.commands.main import app
from studies.results.record import results_record
from studies.study_file.chosen_cases import with_cases
from studies.study_file.study import read_study
from support.study_texts import bolted_bar

CASES = """
[[cases]]
id = "push"
loads = [{ side = "right", from_end_mm = 20, force_n = [0, 0, -900], band_mm = 20 }]
[[cases]]
id = "twist"
loads = [{ side = "left", from_end_mm = 20, moment_nmm = [40000, 0, 0], band_mm = 20 }]
[[cases]]
id = "pull"
loads = [{ side = "right", from_end_mm = 20, force_n = [2000, 0, 0], band_mm = 20 }]
[[cases]]
id = "swing"
loads = [{ side = "right", from_end_mm = 20, force_n = [0, 0, -600], band_mm = 20 }]
cycle = { cycles = 100000 }
[[cases]]
id = "sway"
loads = [{ side = "right", from_end_mm = 20, force_n = [0, 300, 0], band_mm = 20 }]
cycle = { cycles = 100000 }
"""

IN_PARTS = {one.label for one in LOCAL if one.parts}
NAMES = {mode.label for mode in every_mode()} - IN_PARTS - {CONTACT_LOSS.label}
"""What a limit of this bar may be called: of a criterion with parts, by its part."""

ALWAYS = {one.label for one in every_criterion() if one.always}
"""What is reported however far beyond first yield."""


def study_file(folder: Path, torque_nm: float = 5.0) -> Path:
    """Write the study with a torque on its bolts."""
    path = folder / "short.toml"
    path.write_text('name = "short"\n' + bolted_bar(torque_nm) + CASES, encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def run(tmp_path_factory: pytest.TempPathFactory) -> StudyRun:
    """Return the study, solved."""
    return run_study(read_study(study_file(tmp_path_factory.mktemp("study"))))


def test_limits_stand_nearest_first_with_place_and_basis(run: StudyRun) -> None:
    """Every case has yield and buckling, and others up to ten times yield; words for places."""
    for case in run.cases:
        limits = limits_of(run, case)
        factors = [limit.load_factor for limit in limits]
        assert factors == sorted(factors)
        assert {limit.name for limit in limits} <= NAMES
        assert {"first yield", "elastic buckling"} <= {one.name for one in limits}
        (yields,) = [one.load_factor for one in limits if one.name == "first yield"]
        far = {one.name for one in limits if one.load_factor > 10 * yields}
        assert far <= ALWAYS
        assert not {"local buckling", "hoop yield"} & ALWAYS
        assert all(limit.place for limit in limits if limit.name != "clamp slip")


def test_first_yield_is_the_peaks_or_nearer(run: StudyRun) -> None:
    """Preload may bring it nearer, never farther; on this bar the peak is at the clamp's edge."""
    push = run.cases[0]
    (yields,) = [limit for limit in limits_of(run, push) if limit.name == "first yield"]
    assert yields.load_factor <= 241 / push.peak.stress_mpa * 1.0001
    assert CLAMP_STIFFNESS in yields.weak_inputs


def test_the_twist_slips_at_the_bolts_torque(run: StudyRun) -> None:
    """40 N m about x against friction of the least preload: 2 mu N D/2 to mu pi N D/2."""
    twist = run.cases[1]
    (slip,) = [limit for limit in limits_of(run, twist) if limit.name == "clamp slip"]
    assert run.clamping is not None
    stem = run.clamping.clamps[0]
    assert stem.force.low_n == pytest.approx(20000 * 2 / 2.6)
    held = stem.force.low_n * 12.7 / 40000
    ends = 2 * 0.15 * held, np.pi * 0.2 * held, np.pi * 0.25 * held
    assert slip.factor_range == pytest.approx(ends, rel=1e-4)
    assert slip.load_factor == slip.factor_range[0]


def test_slip_names_contact_and_friction_with_what_they_move(run: StudyRun) -> None:
    """Contact first, the wider; friction alone moves the middle by 0.15/0.2 and 0.25/0.2."""
    (slip,) = [limit for limit in limits_of(run, run.cases[1]) if limit.name == "clamp slip"]
    contact, friction, *_ = slip.weak_inputs
    assert contact.input == "clamp contact"
    assert friction.range == (0.15, 0.25)
    assert friction.factor_range == pytest.approx(
        (0.75 * slip.middle_factor, 1.25 * slip.middle_factor)
    )
    assert not slip.is_verified


def test_a_pull_along_the_bar_slips_too(run: StudyRun) -> None:
    """2000 N along x against friction, 2 mu N on two lines and pi mu N on the whole face."""
    (slip,) = [one for one in limits_of(run, run.cases[2]) if one.name == "clamp slip"]
    assert run.clamping is not None
    low_n = run.clamping.clamps[0].force.low_n
    assert slip.load_factor == pytest.approx(2 * 0.15 * low_n / 2000, rel=1e-4)
    assert slip.middle_factor == pytest.approx(np.pi * 0.2 * low_n / 2000, rel=1e-4)


def test_a_reversed_load_is_judged_both_ways(run: StudyRun) -> None:
    """Its elastic factor is the lower of the two signs, and a bend up wrinkles as one down."""
    swing = run.cases[3].stability.elastic
    assert swing.factors[0] <= swing.reversed_factors[0]


def test_repeated_cases_have_a_fatigue_limit(run: StudyRun) -> None:
    """Swing and sway alone, and together; a push that comes once has none."""
    named = [{limit.name for limit in limits_of(run, case)} for case in run.cases]
    assert ["fatigue" in names for names in named] == [False, False, False, True, True]
    assert run.life is not None
    assert [name for name, _ in run.life.cases] == ["swing", "sway"]
    record = results_record(run)
    assert record.fatigue is not None
    assert record.fatigue.damage is not None
    lives = [case.fatigue.damage for case in record.cases if case.fatigue]
    # they pull on other sides of the tube, so the worst place sees less than the sum
    assert max(filter(None, lives)) <= record.fatigue.damage * (1 + 1e-9)


def test_the_lever_squeezes_where_it_is(run: StudyRun) -> None:
    """Its stress stands at its place, hoop compression of p R/t, and the stem's at the stem."""
    assert run.clamping is not None
    stem, lever = run.clamping.clamps
    assert (stem.name, lever.name, lever.at_mm) == ("stem", "lever", -70.0)
    near = np.abs(run.model.mesh.sheet.nodes[:, 0] + 70.0) < 2.0
    hoop = run.clamping.nominal.outer[near, 1].mean()
    ring = -lever.pressure_mpa * 25.4 / 2 / 1.6
    # a band of 12 mm on a tube whose stress dies away over 4 mm: not far from a long one's
    assert ring * 1.15 < hoop < 0.6 * ring


def test_the_record_says_all_of_it(run: StudyRun) -> None:
    """JSON without a hole; its nearest limit governs, by the low end of its range."""
    record = results_record(run).model_dump(mode="json")
    json.dumps(record, allow_nan=False)
    assert len(record["clamp_preload"]) == 2
    for case in record["cases"]:
        nearest = case["limits"][0]
        ends = nearest["factor_range"] or [nearest["load_factor"]] * 3
        assert (case["governing_factor"], case["governing_factor_mid"]) == tuple(ends[:2])
        assert nearest["load_factor"] == ends[0]
        verified = [one["load_factor"] for one in case["limits"] if one["verified"]]
        assert case["governing_verified"] == (min(verified) if verified else None)
        assert "decides nothing." not in case["summary"]
        assert case["clamp"]["yield_factor"] > 0
        assert [zone["utilisation"] for zone in case["buckling"]["zones"]] == sorted(
            (zone["utilisation"] for zone in case["buckling"]["zones"]), reverse=True
        )
        assert all(zone["utilisation"] >= THRESHOLD for zone in case["buckling"]["zones"])


def test_no_word_promises(run: StudyRun) -> None:
    """Whatever the factors, no sentence says that the bar may be trusted."""
    record = results_record(run)
    words = [record.summary, *(case.summary for case in record.cases)]
    words += [*record.cautions, *record.limitations, *record.warnings]
    words += [line for case in record.cases for line in (*case.cautions, *case.limitations)]
    assert not any("safe" in sentence.lower() for sentence in words)


def test_slack_bolts_let_go_and_say_so(tmp_path: Path) -> None:
    """A quarter of the torque: part of the face would have to pull; the contact answer stands."""
    slack = run_study(with_cases(read_study(study_file(tmp_path, 1.2)), ["push"]))
    push = slack.cases[0].clamp
    assert push is not None
    assert push.contact_loss_share > 0
    assert push.contact is not None
    assert push.contact.pressure_mpa.min() >= 0
    assert sum(zone.share for zone in push.open_zones) == pytest.approx(
        push.contact.contact_loss_share
    )
    # pushed down at the right, the bar leaves the stem above at its right edge, below at its left
    worst = {(zone.s_mm > 0, np.cos(zone.theta_rad) > 0) for zone in push.open_zones[:2]}
    assert (True, True) in worst
    assert worst <= {(True, True), (False, False)}
    assert push.contact_only_deflection_mm is not None
    moved = np.linalg.norm(slack.cases[0].answer.load_points[0].displacement_mm)
    assert push.contact_only_deflection_mm > moved


def test_loss_of_contact_is_a_limit_and_no_failure(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the contact finds no hold the run ends all the same, and says from which load."""

    def loses_contact(*_: object) -> None:
        msg = "loss of contact in the clamp"
        raise ContactLossError(msg)

    monkeypatch.setattr(clamping, "solve_contact", loses_contact)
    loose = run_study(with_cases(read_study(study_file(tmp_path, 0.5)), ["push"]))
    push = loose.cases[0]
    assert push.clamp is not None
    assert push.clamp.contact is None
    first = limits_of(loose, push)[0]
    assert first.name == "loss of contact"
    assert 0 < first.load_factor < 1
    assert first.load_factor == push.clamp.contact_loss_factor


def test_unknown_fatigue_is_said_and_fails(tmp_path: Path) -> None:
    """A metal of one's own without a curve: the verdict says so, and --fail-under cannot pass."""
    path = study_file(tmp_path)
    own = (
        "{ youngs_modulus_mpa = 70000, poisson_ratio = 0.33, density_kg_m3 = 2700, "
        "proof_stress_mpa = 250, ultimate_stress_mpa = 300, elongation_percent = 9, "
        'source = { kind = "measured", reference = "own test" } }'
    )
    text = path.read_text(encoding="utf-8").replace('"al-6061-t6"', own)
    path.write_text(text, encoding="utf-8")
    call = ["run", str(path), "--no-figures", "--case", "swing", "--json", "--fail-under", "0.1"]
    result = CliRunner().invoke(app, [*call, "--out", str(tmp_path / "out")])
    assert result.exit_code == 1
    assert "swing is not judged" in result.stderr
    assert "Fatigue is not judged." in json.loads(result.stdout)["cases"][0]["summary"]


def test_fail_under_counts_the_governing_factor(tmp_path: Path) -> None:
    """A factor below yield's and above fatigue's fails, and names what governs."""
    path, out = study_file(tmp_path), str(tmp_path / "out")
    call = ["run", str(path), "--no-figures", "--out", out, "--json"]
    some = [word for case in ("twist", "swing", "sway") for word in ("--case", case)]
    result = CliRunner().invoke(app, [*call, *some, "--fail-under", "20"])
    assert result.exit_code == 1
    record = json.loads(result.stdout)
    named = {case["limits"][0]["name"]: case["governing_factor"] for case in record["cases"]}
    named["fatigue, all stages together"] = record["fatigue"]["factor_range"][0]
    name = min(named, key=lambda key: named[key])
    assert f"the governing factor is {named[name]:.3g} (" in result.stderr
    twist = next(case["governing_factor"] for case in record["cases"] if case["id"] == "twist")
    low = ["--case", "twist", "--fail-under", f"{0.99 * twist}"]
    assert CliRunner().invoke(app, [*call, *low]).exit_code == 0


def test_the_inputs_of_a_life_stand_with_their_ranges(run: StudyRun) -> None:
    """What moves the low end most comes first, with its own range and that of the factor."""
    record = results_record(run).cases[3]
    assert record.id == "swing"
    (life,) = [one for one in record.limits if one.name == "fatigue"]
    assert life.factor_range is not None
    low, middle, high = life.factor_range
    ranges = {one.input: one.range for one in life.weak_inputs}
    assert ranges["scatter of lives"] == pytest.approx((10**-0.4935, 10**0.4935), rel=1e-3)
    site = {"surface factor": (0.70, 1.00), "clamp factor": (1.25, 1.80)}
    (found,) = site.keys() & ranges
    assert ranges[found] == site[found]
    moved = [one.factor_range for one in life.weak_inputs if one.factor_range]
    assert [ends[0] for ends in moved] == sorted(ends[0] for ends in moved)
    # causes are independent: logarithms of what each moves add up by their squares
    widths = np.log([[middle / ends[0], ends[1] / middle] for ends in moved])
    assert np.hypot.reduce(widths, axis=0) == pytest.approx(
        np.log([middle / low, high / middle]), rel=0.02
    )
    assert not life.verified


def test_a_zone_in_words(run: StudyRun) -> None:
    """On the one ruler, from the clamp centre, whether it begins in the clamp or not."""
    zone = Zone(LOCAL_BUCKLING, LOCAL_BUCKLING.parts[0], 0.81, 32.0, np.pi, 30.0, 34.0)
    assert zone_in_words(run, zone) == "right 30 to 34 mm, underside"
    spot = Zone(LOCAL_BUCKLING, LOCAL_BUCKLING.parts[0], 0.81, -32.0, 0.0, -32.0, -32.0)
    assert zone_in_words(run, spot) == "left 32 mm, top"
    inside = Zone(YIELD, YIELD, 0.81, 5.0, np.pi / 2, -5.0, 6.0)
    assert zone_in_words(run, inside) == "left 5 mm to right 6 mm, front"
