"""What `check` prints of a bar out of square."""

from collections.abc import Iterator

from geometry.out_of_square import Turned
from studies.study_file.bend_names import bend_names
from studies.study_file.square import read_back_mm
from studies.study_file.square_text import AGAINST, reading_text
from studies.study_file.study import Study


def turned_lines(study: Study, turned: Turned) -> Iterator[str]:
    """Yield what was read, which bends turn by how much, and the ends read back."""
    names = bend_names(study, turned.readings.side)
    yield f"{reading_text(turned.readings)}, against {AGAINST}"
    turns = zip(names, turned.plane_deg, turned.angle_deg, strict=True)
    for number, (name, plane, angle) in enumerate(turns, start=1):
        called = f" {name}" if name else ""
        if plane or angle:
            plane, angle = (round(one, 6) + 0.0 for one in (plane, angle))
            yield f"bend {number}{called}: plane {plane:+.3f} deg, angle {angle:+.3f} deg"
    yield f"last straight {turned.tail_mm:+.3f} mm"
    height, fore_aft, length = (
        round(value, 6) + 0.0 for value in read_back_mm(study.bar.line, turned)
    )
    yield (f"read back: height {height:.3f} mm, fore-aft {fore_aft:.3f} mm, length {length:.3f} mm")
