"""Reading of press records: encodings, separators, decimal signs, heads, units, refusals."""

from pathlib import Path

import numpy as np
import pytest

from geometry.errors import InputError
from studies.bench.readings import Readings, read_readings
from studies.bench.record_file import read_table
from studies.bench.rig import Rig, bore_area_mm2
from studies.bench.units import unit_in

GAUGE, TRAVEL = (0.0, 1.5, 12.25), (0.0, 0.25, 3.5)
AREA = Rig(area_mm2=1000.0)


def written(folder: Path, text: str, encoding: str = "utf-8") -> Path:
    """Write a record."""
    path = folder / "record.csv"
    path.write_bytes(text.encode(encoding))
    return path


def read(folder: Path, text: str, rig: Rig = AREA, encoding: str = "utf-8") -> Readings:
    """Return what is read of a text."""
    return read_readings(written(folder, text, encoding), rig)


def refused(folder: Path, text: str, rig: Rig = AREA) -> str:
    """Return the sentence with which a text is refused."""
    with pytest.raises(InputError) as error:
        read(folder, text, rig)
    return str(error.value)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "latin-1"])
@pytest.mark.parametrize(
    ("separator", "comma"),
    [(";", True), (";", False), ("\t", True), ("\t", False), (",", False), (" ", True)],
)
@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_any_table_is_read(
    tmp_path: Path, encoding: str, separator: str, *, comma: bool, ends: str
) -> None:
    """Every encoding with every separator and decimal sign, and a head with an umlaut."""
    rows = [[str(i), f"{p}", f"{u}"] for i, (p, u) in enumerate(zip(GAUGE, TRAVEL, strict=True))]
    cells = [[c.replace(".", ",") if comma else c for c in row] for row in rows]
    text = ends.join(separator.join(row) for row in [["Zähler", "p[bar]", "Weg[mm]"], *cells])
    found = read(tmp_path, text + ends, encoding=encoding)
    assert found.force_n == pytest.approx([100 * p for p in GAUGE])  # 0.1 MPa on 1000 mm2
    assert found.travel_mm == pytest.approx(TRAVEL)
    assert found.lines.tolist() == [2, 3, 4]


@pytest.mark.parametrize(
    ("head", "unit"),
    [
        ("Druck [bar]", "bar"),
        ("Weg (mm)", "mm"),
        ("F in kN", "kN"),
        ("p/bar", "bar"),
        ("pressure_psi", "psi"),
        ("load, lbf", "lbf"),
        ("Kraft [kgf]", "kgf"),
        ("p (kg/cm2)", "kgf/cm2"),
        ("PRESSION MPA", "MPa"),
        ("travel [in]", "in"),
        ("travel in", "in"),
        ("point in series", None),
        ("n", None),
        ("Zeit [s]", None),
    ],
)
def test_units_in_heads(head: str, unit: str | None) -> None:
    """In brackets, after a stroke or as a word; `in` and `n` are words too."""
    assert unit_in(head) == unit


@pytest.mark.parametrize(
    ("unit", "newton"),
    [
        ("N", 1.0),
        ("kN", 1000.0),
        ("kgf", 9.80665),
        ("lbf", 4.448222),
        ("bar", 100.0),
        ("psi", 6.894757),
        ("MPa", 1000.0),
    ],
)
def test_units_of_force(tmp_path: Path, unit: str, newton: float) -> None:
    """One of each, of pressure on 1000 mm2."""
    found = read(tmp_path, f"F [{unit}];u [mm]\n1;1\n2;2\n3;3\n")
    assert found.force_n == pytest.approx([newton, 2 * newton, 3 * newton], rel=1e-6)


def test_inches(tmp_path: Path) -> None:
    """Travel is in mm."""
    assert read(tmp_path, "F [N];u [in]\n1;1\n2;2\n").travel_mm == pytest.approx([25.4, 50.8])


def test_a_row_of_units_below_the_heads_and_words_above(tmp_path: Path) -> None:
    """As loggers write them."""
    text = "Logger 7\nsome; note\nZeit;Kraft;Weg\ns;kN;mm\n0;0,5;1\n1;1,5;2\n"
    found = read(tmp_path, text)
    assert found.force_n == pytest.approx([500, 1500])
    assert (found.force_head, found.travel_head) == ("Kraft kN", "Weg mm")


def test_missing_cells_and_words_within(tmp_path: Path) -> None:
    """A row without force is left out and counted; a remark is no row."""
    text = "n;F [N];u [mm]\n1;0;0\n2;;1\n3;-;2\nbar slipped here\n4;30;3\n5;40;4\n"
    found = read(tmp_path, text)
    assert found.force_n.tolist() == [0, 30, 40]
    assert found.missing == 2
    assert found.lines.tolist() == [2, 6, 7]


def test_signs_are_turned_up(tmp_path: Path) -> None:
    """A cell that reads compression as negative, and a dial that runs backwards."""
    found = read(tmp_path, "F [N];u [mm]\n0;9\n-10;8\n-20;7\n-5;7.5\n")
    assert found.force_n.tolist() == [0, 10, 20, 5]
    assert np.diff(found.travel_mm).tolist() == [1, 1, -0.5]
    assert found.flipped == ("force", "travel")


def test_columns_by_option(tmp_path: Path) -> None:
    """By number and by part of the head; the units by option."""
    text = "a;b;c\n1;10;100\n2;20;200\n"
    rig = Rig(force_column="3", travel_column="A", force_unit="N", travel_unit="mm")
    found = read(tmp_path, text, rig)
    assert found.force_n.tolist() == [100, 200]
    assert found.travel_mm.tolist() == [1, 2]


def test_columns_by_words_where_units_are_given(tmp_path: Path) -> None:
    """`load` and `stroke` say which is which."""
    rig = Rig(force_unit="N", travel_unit="mm")
    assert read(tmp_path, "stroke;load\n1;10\n2;20\n", rig).force_n.tolist() == [10, 20]


@pytest.mark.parametrize(
    ("text", "rig", "says"),
    [
        ("Druck;Weg [mm]\n1;1\n2;2\n", AREA, "names no unit; give --force-unit, one of bar"),
        ("Druck [bar];Weg\n1;1\n2;2\n", AREA, "names no unit; give --travel-unit, one of mm"),
        ("p [bar];u [mm]\n1;1\n2;2\n", Rig(), "give --bore-mm or --area-mm2"),
        ("p [bar];q [bar];u [mm]\n1;1;1\n2;2;2\n", AREA, "give its number, as --force-column 2"),
        ("1;1\n2;2\n", AREA, "give its number, as --force-column 2"),
        ("p [bar];u [mm]\n1;1\n2;2\n", Rig(force_column="9"), "columns 1 to 2"),
        ("p [bar];u [mm]\n1;1\n2;2\n", Rig(force_column="w"), "no column has 'w'"),
        ("p [bar];u [mm]\n1;1\n2;2\n", Rig(force_column="2"), "the force's too"),
        ("no numbers here\n", AREA, "has no line with two numbers"),
        ("", AREA, "has no line with two numbers"),
    ],
)
def test_what_cannot_be_told_is_refused(tmp_path: Path, text: str, rig: Rig, says: str) -> None:
    """In one sentence with the remedy."""
    sentence = refused(tmp_path, text, rig)
    assert says in sentence
    assert "\n" not in sentence


def test_beyond_full_scale_is_named_by_line(tmp_path: Path) -> None:
    """Each row, also below zero."""
    rig = Rig(area_mm2=1000.0, full_scale=60.0)
    text = "p [bar];u [mm]\n0;0\n61;1\n59;2\n-70;3\n"
    first, second = refused(tmp_path, text, rig).splitlines()
    assert first.startswith("line 3: reads 61 bar, beyond the full scale of 60 bar")
    assert second.startswith("line 5: reads -70 bar")


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    """One sentence."""
    with pytest.raises(InputError, match="cannot be read"):
        read_table(tmp_path / "none.csv")
    with pytest.raises(InputError, match="cannot be read"):
        read_table(tmp_path)


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"force_unit": "bra"}, "no unit of it is called 'bra'; nearest: bar"),
        ({"travel_unit": "N"}, "use one of mm, cm, in"),
        ({"gauge_class_percent": 1.0}, "a gauge's class is a share of its full scale"),
        ({"gauge_class_percent": 11.0, "full_scale": 1.0}, "at most 10 %"),
        ({"full_scale": 0.0}, "above 0"),
        ({"area_mm2": float("nan")}, "not a finite number"),
        ({"friction_percent": (3.0, 1.0)}, "must rise within 0 to 30 %"),
        ({"friction_percent": (0.0, float("nan"))}, "must rise within 0 to 30 %"),
    ],
)
def test_rigs_that_are_refused(fields: dict[str, object], says: str) -> None:
    """Each with its sentence."""
    with pytest.raises(InputError) as error:
        Rig(**fields)  # type: ignore[arg-type]
    assert says in str(error.value)


def test_the_area_of_a_bore() -> None:
    """Of 40 mm, and of none."""
    assert bore_area_mm2(40) == pytest.approx(1256.64, rel=1e-5)
    with pytest.raises(InputError, match="1 to 1000 mm"):
        bore_area_mm2(0)


@pytest.mark.parametrize(
    ("rows", "force_n"),
    [
        ("0.25;950\n0.50;1,050\n0.75;12,150.5", [950, 1050, 12150.5]),
        ("0,25;950\n0,50;1.050\n0,75;12.150,5", [950, 1050, 12150.5]),
        ("0,25;950\n0,50;1 050\n0,75;12 150,5", [950, 1050, 12150.5]),
        ("1;950\n2;1,050\n3;1,150", [950, 1050, 1150]),  # a decimal comma would fall to 1.05
        ("1.125;1.250\n2.125;2.250\n3.125;3.250", [1.25, 2.25, 3.25]),
        ("1,125;1,250\n2,125;2,250\n3,125;3,250", [1.25, 2.25, 3.25]),
    ],
)
def test_parted_thousands(tmp_path: Path, rows: str, force_n: list[float]) -> None:
    """A sign between thousands does not end the record at 999, nor is a decimal sign one."""
    found = read(tmp_path, f"travel mm;force N\n{rows}\n", Rig())
    assert found.force_n == pytest.approx(force_n)


def test_rows_of_one_number_are_counted(tmp_path: Path) -> None:
    """What cannot be read below the head is named, words and empty lines are not."""
    text = "travel mm;force N\n0;0\n0.1;x\npause;\n\n0.2;20\n0.3;1,0,5\n0.4;40\n"
    found = read(tmp_path, text, Rig())
    assert found.force_n == pytest.approx([0, 20, 40])
    assert found.missing == 2
