"""The two coupons: what is shipped is what was made, and their records hold what they were."""

from pathlib import Path

import numpy as np
import pytest

from studies.bench.readings import read_readings
from studies.bench.record import PressRecord
from studies.bench.reduction import Reduction, reduce_record
from studies.bench.rig_file import read_rig_file, rig_of
from studies.commands.main import main
from studies.study_file.study import read_study
from studies.study_file.wall_from_mass import wall_from_mass
from support.coupons import ALUMINIUM, GIVE_MM_PER_N, TITANIUM, Coupon, curve_of, record_of

FOLDER = Path(__file__).parents[2] / "studies" / "examples" / "coupons"
OWN_LAW = 0.02
"""By what the other program's law, plasticity in Green's strain, may shift a strength: its tube is
dented under the rollers by strains of some percent. It is in neither interval."""

BOTH = pytest.mark.parametrize("coupon", [ALUMINIUM, TITANIUM], ids=lambda one: one.name)


def reduced(coupon: Coupon) -> Reduction:
    """Return the shipped record, reduced with the shipped press."""
    rig = rig_of({}, read_rig_file(FOLDER / "press.toml"))
    return reduce_record(read_readings(FOLDER / f"{coupon.name}.csv", rig), rig)


@BOTH
def test_the_shipped_record_is_the_one_that_was_made(coupon: Coupon) -> None:
    """Byte for byte."""
    shipped = (FOLDER / f"{coupon.name}.csv").read_bytes()
    assert shipped == record_of(coupon).encode()


@BOTH
def test_its_mass_gives_its_wall(coupon: Coupon) -> None:
    """The file has the drawing's wall; the interval from the mass holds the true one."""
    study = read_study(FOLDER / f"{coupon.name}.toml")
    assert study.specimen
    assert study.specimen.mass_g == pytest.approx(coupon.mass_g, abs=0.1)
    found = wall_from_mass(study, study.specimen)
    nominal = study.bar.spec.stations[0].wall_mm
    assert found.factor * nominal == pytest.approx(coupon.wall_mm, abs=found.within * nominal)


@BOTH
def test_intervals_hold_what_the_coupon_was(coupon: Coupon) -> None:
    """Stiffness of bar and rig together over the window, the largest force, and the set.

    A tube under rollers dents, so its own curve is read between the same forces.
    """
    found, (rise, force) = reduced(coupon), curve_of(coupon)
    window = found.straight.force_n
    travel = rise + GIVE_MM_PER_N * force
    first = slice(0, int(np.argmax(np.diff(rise) < 0)) + 1)
    between = np.linspace(window.min(), window.max(), 40)
    k = float(np.polyfit(np.interp(between, force[first], travel[first]), between, 1)[0])
    assert found.line.slope.value == pytest.approx(k, abs=found.line.slope.half_width)
    assert found.peak_n.value == pytest.approx(force.max(), abs=found.peak_n.half_width)
    turn = int(np.flatnonzero(np.diff(rise) < 0)[0])
    down = slice(turn + 2, turn + 8)
    slope, start = np.polyfit(rise[down], force[down], 1)
    (loop,) = found.unloadings
    assert loop.set_mm
    assert loop.set_mm.value == pytest.approx(-start / slope, abs=loop.set_mm.half_width)


@pytest.mark.slow
@pytest.mark.full
@pytest.mark.parametrize("coupon", [TITANIUM], ids=lambda one: one.name)
def test_from_the_bar_on_the_table_to_its_calibration(
    coupon: Coupon, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The prediction, as measured and with its band, meets the record; the fit holds the strength.

    The record is of another program's bar, with a rig whose give nobody knew.
    """
    traced, pressed = str(tmp_path / "traced"), str(tmp_path / "pressed")
    study, record = (str(FOLDER / f"{coupon.name}{end}") for end in (".toml", ".csv"))
    quick = ["--as-measured", "--band", "--no-figures"]
    assert main(["collapse", study, *quick, "--out", traced]) == 0
    rig = ["--rig", str(FOLDER / "press.toml")]
    assert main(["press", record, *rig, "--against", traced, "--out", pressed]) == 0
    capsys.readouterr()
    text = Path(pressed, "press.json").read_text(encoding="utf-8")
    found = PressRecord.model_validate_json(text).against
    assert found
    assert {one.name.split()[0] for one in found.figures} >= {"Stiffness", "Offset", "Permanent"}
    assert all(abs(one.deviations) < 2 for one in found.figures)
    assert found.calibration
    assert "proof stress" in found.calibration.alike
    fit = next(one for one in found.calibration.fits if one.input == "proof stress")
    assumed = read_study(Path(study)).bar.spec.material.proof_stress_mpa
    assert fit.low
    assert fit.high
    truth = coupon.proof_stress_mpa / assumed
    assert fit.low - OWN_LAW < truth < fit.high + OWN_LAW
