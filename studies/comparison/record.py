"""comparison.json: the table of a comparison for other programs."""

import json
from collections.abc import Sequence
from dataclasses import asdict

from studies.comparison.differences import bar_rows, case_tables
from studies.files.results_folder import COMPARISON_RECORD, OUR_FORMATS
from studies.files.version import barwright_version
from studies.records.case import ResultsRecord

FORMAT_VERSION = 2


def comparison_json(records: Sequence[ResultsRecord]) -> str:
    """Return the text of comparison.json; differences are in percent of the first design."""
    names = [record.study.name for record in records]
    content = {
        "format": OUR_FORMATS[COMPARISON_RECORD],
        "format_version": FORMAT_VERSION,
        "barwright_version": barwright_version(),
        "designs": [
            {
                "name": record.study.name,
                "file": record.study.file,
                "sha256": record.study.sha256,
                "mesh_level": record.study.mesh.level,
                "summary": record.summary,
            }
            for record in records
        ],
        "bars": [asdict(row) for row in bar_rows(records)],
        "cases": [asdict(part) for part in case_tables(records, names)],
    }
    return json.dumps(content, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
