"""Limitations of the path past yield, beside every one of its results."""

from collections.abc import Iterator

from fea.collapse.path_run import PathRun
from fea.stability.stress_strain import curve_source
from geometry.material import has_own_curve
from geometry.source import MARKS, UNSURE
from studies.assessment.run import CaseRun, StudyRun
from studies.collapse.outcome import Outcome

NOT_MODELLED = (
    "Not modelled: residual stress and cold work of the bends, which harden the metal there in one "
    "sense and soften it in the other.",
    "Not modelled: welds and their heat-affected zones.",
    "Not modelled: knurling, cable holes, slots, dents and scratches, where a bar fails first.",
    "Not modelled: strain rate. In a fall or impact steel and titanium are stronger than in a "
    "press, while a crack grows sooner.",
    "Not modelled: fracture. Results beyond the elongation (strain limit) are not to be relied on.",
    "Not modelled: creep and cyclic softening. One isotropic curve serves tension and compression.",
    "Single bars scatter: the limit load differs as wall, ovality and proof stress of a bar differ "
    "from the values here.",
)

DEEP_LOCAL = 0.02
"""Averaged plastic strain from which on the depth of a fold depends on the mesh."""


def path_cautions(run: StudyRun, case: CaseRun, path: PathRun, found: Outcome) -> Iterator[str]:
    """Yield the cautions of a path, its own first."""
    material = run.study.bar.spec.material
    if path.terminated:
        yield f"Path terminated early: {path.terminated}. The steps before it are valid."
    source = curve_source(material)
    if source.kind in UNSURE and not has_own_curve(material):
        yield f"The flow curve's exponent is marked '{MARKS[source.kind]}': {source.reference}."
    if found.elongation is None:
        yield "Elongation of the material not known: the path has no strain limit."
    if path.path_control.imperfection_percent == 0:
        yield (
            "Perfect wall but for what the study describes: ripples, dents and uneven walls lower "
            "a limit load by wrinkling."
        )
    if run.study.clamp.bolts is None or not path.path_control.preload:
        yield "No bolt preload in this path."
    reported = path.readings[found.reported]
    if found.kind in {"wrinkle", "clamp-edge dent"} and reported.strain.value > DEEP_LOCAL:
        yield (
            "Past the limit load a wrinkle deepens in a few elements: how fast the load falls is "
            "an estimate."
        )
    yield from NOT_MODELLED
