"""What the study's gauges read at each step of a path, and their part of results.json."""

from dataclasses import dataclass, replace

from fea.collapse.equilibrium import moved_mm
from fea.collapse.gauges import GaugePlace, gauge_places, gauges_read
from fea.collapse.path_model import PathModel
from fea.collapse.path_run import PathRun, Step
from geometry.arrays import Floats
from studies.assessment.run import StudyRun
from studies.records.collapse import PathGaugeRecord
from studies.records.gauge_measures import gauge_key
from studies.records.gauges import gauge_unit
from studies.records.parts import gauge_place
from studies.study_file.study import Study


@dataclass(frozen=True, eq=False)
class PathGauges:
    """The gauges of a study on the mesh of a path.

    Attributes:
        keys: Their names in tables that programs read, with the unit.
        places: Where they lie.
        points_mm: (N, 3) places of the nodes, free of load.
        start_mm: (N, 3) displacement where the loads begin to grow.
    """

    keys: tuple[str, ...]
    places: tuple[GaugePlace, ...]
    points_mm: Floats
    start_mm: Floats


def path_gauges_of(study: Study, path_model: PathModel) -> PathGauges:
    """Return the gauges of a study on the mesh of a path.

    Raises:
        MeshError: A gauge lies on no face of the mesh.
    """
    mesh = path_model.model.mesh
    return PathGauges(
        tuple(gauge_key(one.gauge.name, one.gauge.kind) for one in study.gauges),
        gauge_places(study.bar, mesh, study.gauges),
        mesh.points_mm,
        moved_mm(path_model.equations, path_model.equations.origin),
    )


def with_gauges(gauges: PathGauges, step: Step) -> Step:
    """Return a step with what gauges read of its snapshot, so a stored step reads the same.

    The snapshot's single precision moves a strain by about 2 micrometres a metre at 60 mm.
    """
    if not gauges.places:
        return step
    moved_mm = step.snapshot.displacement_mm.astype(float)
    read = gauges_read(gauges.places, gauges.points_mm, gauges.start_mm, moved_mm)
    return replace(step, gauges=read)


def path_gauge_records(run: StudyRun, path: PathRun) -> list[PathGaugeRecord]:
    """Return what every gauge of the study reads along a path."""
    columns = zip(*(step.gauges for step in path.steps), strict=True)
    return [
        PathGaugeRecord(
            name=placed.gauge.name,
            kind=placed.gauge.kind,
            at=gauge_place(run.study.bar, placed),
            unit=gauge_unit(placed.gauge.kind),
            readings=list(column),
        )
        for placed, column in zip(run.study.gauges, columns, strict=True)
    ]
