"""The conventions of the model that move results, a line each."""

from geometry.bar import Bar
from geometry.centreline import arcs
from geometry.section import kinks_mm


def conventions_of(bar: Bar) -> list[str]:
    """Return what is assumed of a bar's bends and section transitions; nothing of what it lacks."""
    effects, found = bar.spec.effects, []
    if arcs(bar.line):
        wall = "thinner at the extrados, thicker at the intrados" if effects.wall_change else "kept"
        found.append(f"Wall in bends: {wall}" + (", of constant volume" * effects.wall_change))
        ovality = f"{effects.ovality_percent:g} %" if effects.ovality_percent else "not given, 0 %"
        found.append(f"Ovality of bends: {ovality}")
    if kinks_mm(bar.profile):
        blend = bar.spec.blend_mm
        rounded = f"blended over ±{blend:g} mm" if blend else "sharp"
        found.append(f"Section transitions: {rounded}")
    return found
