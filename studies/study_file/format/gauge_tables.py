"""The table of a study file that says where a dial or a strain gauge sits."""

from typing import ClassVar, Self

from pydantic import model_validator

from loadcases.gauges import GAUGE_LIMITS, Gauge, GaugeKind, GaugeSurface
from loadcases.load import Side, place_problems
from studies.study_file.format import values as v
from studies.study_file.format.table import Table, judged, key

MAX_GAUGES = 40


class GaugeTable(Table):
    """A gauge on the bar, read in every case."""

    limits: ClassVar = GAUGE_LIMITS

    name: v.Text = key("name of the reading", example="dial at the grip")
    kind: GaugeKind = key("a dial on the outer surface, or a strain gauge", example="dial")
    side: Side | None = key("half that it is on", None, "right")
    from_end_mm: v.Real | None = key("distance from the end of its half", None, 50)
    at_mm: v.Real | None = key("signed place along the bar", None, -250)
    theta_deg: v.Real = key("angle round the tube, 0 on top, 90 in front", Gauge.theta_deg)
    direction: v.Vector = key("of a dial, what it reads as positive", Gauge.direction)
    angle_deg: v.Real = key("of a strain gauge, from the tube's axis", Gauge.angle_deg)
    length_mm: v.Real = key("of a strain gauge's grid", Gauge.length_mm)
    surface: GaugeSurface = key("of a strain gauge, that it is bonded to", Gauge.surface)

    @model_validator(mode="after")
    def _placed(self) -> Self:
        return judged(self, place_problems(self.side, self.from_end_mm, self.at_mm))
