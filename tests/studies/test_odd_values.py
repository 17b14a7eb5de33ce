"""Whatever stands in a study file is read, or refused in plain words."""

import tomllib
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from studies.study_file.errors import StudyError
from studies.study_file.shipped import example_text
from studies.study_file.study import study_from_table


def places(value: object, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    """Return the path of every value inside a plain table."""
    items = value.items() if isinstance(value, dict) else enumerate(value)
    found: list[tuple[str | int, ...]] = []
    for key, item in items:
        found.append((*path, key))
        if isinstance(item, dict | list):
            found += places(item, (*path, key))
    return found


def changed(table: dict[str, object], path: tuple[str | int, ...], value: object) -> None:
    """Put `value` at a place of a plain table."""
    inner: object = table
    for part in path[:-1]:
        inner = inner[part]  # type: ignore[index]
    inner[path[-1]] = value  # type: ignore[index]


PLACES = places(tomllib.loads(example_text("harbour-riser")))
ODD_VALUES = st.one_of(
    st.none().map(lambda _: {}),
    st.booleans(),
    st.integers(),
    st.integers(min_value=10**300, max_value=10**310),
    st.floats(allow_nan=True, allow_infinity=True),
    st.text(max_size=5),
    st.lists(st.floats(-1, 1), max_size=4),
    st.dictionaries(st.text(max_size=3), st.integers(0, 3), max_size=2),
)


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(place=st.sampled_from(PLACES), value=ODD_VALUES)
def test_any_value_anywhere_is_read_or_refused_in_plain_words(
    place: tuple[str | int, ...], value: object
) -> None:
    """Whatever stands at a place of the file, the answer is a study or sentences, never a crash."""
    table = tomllib.loads(example_text("harbour-riser"))
    changed(table, place, value)
    try:
        study_from_table(table, Path("odd.toml"), "")
    except StudyError as error:
        for problem in error.problems:
            assert str(problem).isprintable()
            assert "nput should" not in problem.sentence
            assert len(problem.sentence) < 600
