"""What `check` prints of the turns of a bar out of square."""

from pathlib import Path

from studies.commands.turned_lines import turned_lines
from studies.study_file.study import study_from_table


def test_a_turn_of_nothing_has_no_sign() -> None:
    """A bend in a plane takes up a height by its angle alone, but for rounding."""
    bend = {"straight_mm": 60, "radius_mm": 80}
    bends = [
        {**bend, "rotation_deg": 90, "angle_deg": 20, "name": "ab"},
        {**bend, "rotation_deg": 180, "angle_deg": 15, "name": "top"},
    ]
    table = {
        "name": "turned",
        "bar": {
            "material": "al-6061-t6",
            "stations": [{"at_mm": 0, "od_mm": 31.8, "wall_mm": 2.0}],
            "right": {"bends": bends, "tail_mm": 200},
            "out_of_square": {"height_mm": 2, "bend": "top"},
        },
    }
    study = study_from_table(table, Path("turned.toml"), "")
    assert study.bar_spec.turned
    told = "\n".join(turned_lines(study, study.bar_spec.turned))
    assert "-0.000" not in told
    assert "bend 2 top: plane +0.000 deg, angle -0.569 deg" in told
