"""In which words a fit of one input is told: what explains a record, and that nothing does."""

import pytest

from studies.bench.against_record import CalibrationRecord, FitRecord
from studies.bench.against_text import alike_in_words


def fitted(*chi2: float, figures: int = 2) -> CalibrationRecord:
    """Return the fits of wall and modulus with their least chi2."""
    none = {"factor": 1.0, "low": None, "high": None, "factors": [], "profile": []}
    names = ("wall", "modulus")[: len(chi2)]
    pairs = zip(names, chi2, strict=True)
    return CalibrationRecord(
        figures=["figure"] * figures,
        unchanged=0.0,
        fits=[FitRecord(input=name, chi2=one, **none) for name, one in pairs],
        alike=[name for name, one in zip(names, chi2, strict=True) if one <= chi2[0] + 3.84],
        rig_mm_per_n=None,
        rig_half_width=None,
    )


@pytest.mark.parametrize(
    ("chi2", "figures", "told"),
    [
        ((0.5, 9.0), 2, "this record is explained by wall alone"),
        ((0.5, 2.0), 2, "this record does not tell wall and modulus apart"),
        ((3.8, 9.0), 2, "this record is explained by wall alone"),
        ((3.9, 9.0), 2, "no input by itself explains this record, least chi2 3.9, at most 3.8"),
        ((5.9, 90.0), 3, "this record is explained by wall alone"),
        ((190.3, 900.0), 2, "least chi2 190, at most 3.8 at 95 %"),
    ],
)
def test_what_explains_a_record(chi2: tuple[float, ...], figures: int, told: str) -> None:
    """Chi-squared at 95 % of one freedom is 3.84, of two 5.99 (textbook)."""
    assert told in alike_in_words(fitted(*chi2, figures=figures))
