"""What a path does not know of, beside every one of its results."""

from collections.abc import Iterator

from fea.collapse.path_run import PathRun
from fea.stability.stress_strain import curve_source
from geometry.material import has_own_curve
from geometry.source import MARKS
from studies.assessment.limits import UNSURE
from studies.assessment.run import CaseRun, StudyRun
from studies.collapse.outcome import Outcome

NOT_MODELLED = (
    "Not modelled: residual stress and cold work of the bends, which make the metal there harder "
    "in one sense and softer in the other.",
    "Not modelled: welds and the soft metal beside them.",
    "Not modelled: knurling, cable holes, slots, dents and scratches, where a bar gives first.",
    "Not modelled: the rate of loading; a fall or a blow is faster than a press, and steel and "
    "titanium carry more then, while a crack runs sooner.",
    "Not modelled: fracture. The path goes on through strains at which the metal has torn; what "
    "lies beyond its elongation is not to be relied on.",
    "Not modelled: creep, and metal that softens when it is bent to and fro: one curve serves "
    "tension and compression, and it never goes back.",
    "A test of one bar scatters: wall, ovality and proof stress of the bar at hand move the limit "
    "as much as they differ from the values here.",
)

DEEP_LOCAL = 0.02
"""Averaged plastic strain from which on a fold's depth depends on how many elements it has."""


def path_cautions(run: StudyRun, case: CaseRun, path: PathRun, found: Outcome) -> Iterator[str]:
    """Yield the cautions of a path, its own first."""
    material = run.study.bar.spec.material
    if path.broke_off:
        yield f"The path broke off early: {path.broke_off}. What it had reached stands."
    source = curve_source(material)
    if source.kind in UNSURE and not has_own_curve(material):
        yield f"The flow curve's exponent is marked '{MARKS[source.kind]}': {source.reference}."
    if found.elongation is None:
        yield "The material's elongation is not known: nothing says when the metal tears."
    if path.path_control.imperfection_percent == 0:
        yield (
            "The wall is perfect but for what the study describes: real ripples, dents and uneven "
            "walls lower a limit by wrinkling."
        )
    if run.study.clamp.bolts is None or not path.path_control.preload:
        yield "The clamp's bolts do not press in this path."
    told = path.readings[found.told]
    if found.kind in {"wrinkle", "clamp-edge dent"} and told.strain.value > DEEP_LOCAL:
        yield (
            "Past the limit a fold deepens in a few elements: the load falls, how fast it falls is "
            "an estimate."
        )
    yield from NOT_MODELLED
