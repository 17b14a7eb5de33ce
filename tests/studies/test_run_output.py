"""What a run prints: lengths, widths, nothing twice, and the cautions in every form."""

import re
from collections import Counter
from pathlib import Path

import pytest

from fea.solid import linear_solver
from fea.stability.criteria import WRINKLING, YIELD, gloss_of
from studies.assessment.run import run_study
from studies.commands.case_lines import case_lines, fatigue_text
from studies.commands.computing import check_solver
from studies.commands.lines import within, wrapped
from studies.commands.main import main
from studies.commands.options import Detail
from studies.commands.run_lines import run_lines
from studies.records.case import CaseRecord, ResultsRecord
from studies.records.fatigue_text import brief_life
from studies.records.limit import WeakInputRecord
from studies.records.load_text import direction
from studies.records.measures import first_yield_factor
from studies.records.places import capitalised, percent
from studies.results.record import results_record
from studies.study_file.study import read_study
from support.study_texts import bolted_bar

CASE = """
[[cases]]
id = "{id}"
title = "{title}"
loads = [{loads}]
{more}
"""

ONE = '{{ side = "{}", from_end_mm = 20, force_n = [{}], band_mm = 20 }}'

CASES = [
    ("push", "Push at the end", [("right", "0, 0, -900")], ""),
    ("hard", "Push beyond yield", [("right", "0, 0, -9000")], ""),
    ("both", "Both ends down", [("right", "0, 0, -500"), ("left", "0, 0, -500")], ""),
    ("couple", "One up, one down", [("right", "0, 0, 500"), ("left", "0, 0, -500")], ""),
    ("aslant", "Three components", [("right", "300, 200, -500"), ("left", "0, 90, -10")], ""),
    ("swing", "Swing", [("right", "0, 0, -600")], "cycle = { cycles = 100000 }"),
    (
        "sway-at-the-far-end-of-a-long-name",
        "A title that is much longer than the column that the table keeps for it",
        [("left", "0, 300, 0")],
        "cycle = { cycles = 100000 }",
    ),
]

HEAD = """
name = "many"
title = "A short bar with many cases"
"""


@pytest.fixture(scope="module")
def record(tmp_path_factory: pytest.TempPathFactory) -> ResultsRecord:
    """Return the results of a bar with seven cases of every sort."""
    cases = (
        CASE.format(id=id_, title=title, loads=", ".join(ONE.format(*one) for one in loads), more=m)
        for id_, title, loads, m in CASES
    )
    path = tmp_path_factory.mktemp("many") / "many.toml"
    path.write_text(HEAD + bolted_bar(5) + "".join(cases), encoding="utf-8")
    return results_record(run_study(read_study(path)))


def printed(record: ResultsRecord, detail: Detail) -> list[str]:
    """Return the lines of a run."""
    return run_lines(record, Path("results/many"), detail)


def blocks(lines: list[str]) -> list[list[str]]:
    """Return the lines between empty ones."""
    return [block.split("\n") for block in "\n".join(lines).split("\n\n")]


def one_line(lines: list[str]) -> str:
    """Return lines without their breaks."""
    return " ".join(" ".join(lines).split())


def limit_rows(case: list[str]) -> list[str]:
    """Return the rows of a case's table of limits that begin one."""
    return [line for line in case if re.match(r"   [a-z ]{3,16} +[\d.]+  \S", line)]


def renamed_place(case: CaseRecord, place: str, name: str) -> CaseRecord:
    """Return a case whose nearest limits are at a long place, and rest on an input."""
    weak = WeakInputRecord(input=name, evidence="secondary source", range=None, factor_range=None)
    limits = [
        one.model_copy(update={"place": place, "theta_deg": 10.0, "weak_inputs": [weak]})
        for one in case.limits
    ]
    return case.model_copy(update={"limits": limits})


def test_no_text_is_cut(record: ResultsRecord) -> None:
    """Title, place and gloss of what governs, life and peak of a case: to their last word."""
    title = "A title of many words, longer than eighty columns of a terminal, for the harbour"
    place = "left 306 mm, inboard towards the front, inner surface, beside the end of the taper"
    case = renamed_place(record.cases[1], place, "proof stress")
    study = record.study.model_copy(update={"title": title})
    changed = record.model_copy(
        update={"study": study, "fatigue": None, "cases": [case, record.cases[6]]}
    )
    text = one_line(printed(changed, Detail.DEFAULT))
    for words in (
        f"many: {title} Bar ",
        f"x load, {place} ",
        f"{capitalised(gloss_of(case.nearest_limit.criterion))}.",
        "; life ",
        f"; beam {case.beam.peak_stress_mpa:.0f} MPa",
    ):
        assert words in text, words


def test_a_weakest_input_is_printed_whole(record: ResultsRecord) -> None:
    """Beside a long place too, on further lines of its cell; no cell is empty."""
    place = "right 171 mm, front towards underside, inner surface"
    case = renamed_place(record.cases[0], place, "buckling stress of a long tube (read)")
    rows = case_lines(1, case)
    table = rows[next(at for at, one in enumerate(rows) if "weakest input" in one) :]
    column = table[0].index("weakest input")
    found = limit_rows(rows)
    assert found
    assert all(row[column:].strip() for row in found)
    cells = one_line(
        [row[column:] for row in table[1:] if row[:column].strip() not in {"Accuracy"}]
    )
    assert cells.count("buckling stress, secondary source") == len(found)
    assert max(map(len, rows)) <= 80


@pytest.mark.parametrize("indent", range(30, 60, 2))
def test_no_line_ends_within_a_number(indent: int) -> None:
    """Groups of digits stay together, at any width."""
    lines = wrapped("Life 1 400 000 to 5 800 000 cycles (middle 2 900 000).", indent)
    assert len(lines) > 1
    assert not [one for one in lines if re.match(r"\d{3} ", one.strip())]
    assert not [one for one in lines if re.search(r"\b\d$", one)]


def test_a_life_that_is_not_known_is_one_phrase(record: ResultsRecord) -> None:
    """In the sentence of what governs and in the case."""
    life = record.cases[5].fatigue
    assert life
    none = life.model_copy(update={"life_cycles": None, "life_range_cycles": None})
    assert fatigue_text(none).endswith("; life not computed: no life curve of this material")
    assert brief_life(none) == "not computed"


def test_both_yield_factors_are_named_where_both_stand(record: ResultsRecord) -> None:
    """The table's is without preload; with it first yield is nearer, which the case says."""
    push = record.cases[0]
    first = next(one for one in push.limits if one.criterion == YIELD.id)
    for share, count in ((0.8, 1), (1.0, 0)):
        limit = first.model_copy(update={"load_factor": share * push.yield_factor})
        case = push.model_copy(update={"limits": [limit]})
        assert first_yield_factor(case) == pytest.approx(share * push.yield_factor)
        less = f"{share * push.yield_factor:.2f}"
        said = f"   Yield factor  {push.yield_factor:.2f} without bolt preload; {less} with it"
        assert case_lines(1, case).count(said) == count


@pytest.mark.parametrize("detail", list(Detail))
def test_no_line_is_wider_than_a_terminal(record: ResultsRecord, detail: Detail) -> None:
    """Eighty columns, whatever is printed."""
    assert max(map(len, printed(record, detail))) <= 80


def test_the_short_form_keeps_to_its_lengths(record: ResultsRecord) -> None:
    """Head 5 lines, one table, limit 5, warnings and cautions 6 each, a case its five limits."""
    found = blocks(printed(record, Detail.DEFAULT))
    head, table, limit = found[:3]
    assert len(head) <= 5
    assert len(table) == 2 + len(CASES)
    assert len(limit) <= 5
    cases = [block for block in found if re.match(r"\d  ", block[0])]
    assert len(cases) == len(CASES)
    assert [len(limit_rows(case)) for case in cases] == [
        min(5, len(one.limits)) for one in record.cases
    ]
    assert max(map(len, cases)) <= 18
    for title in ("Warnings", "Cautions and limitations"):
        assert all(len(block) <= 7 for block in found if block[0] == title)
    assert sum(block[0] == "Cautions and limitations" for block in found) == 1


def test_quiet_is_the_table_and_the_governing_limit(record: ResultsRecord) -> None:
    """And that a bar which breaks hurts someone."""
    table, limit, cautions = blocks(printed(record, Detail.QUIET))
    assert len(table) == 2 + len(CASES)
    assert limit[0].startswith("Governing limit: ")
    assert cautions[0].startswith("A bar that breaks")


def sentences(lines: list[str]) -> list[str]:
    """Return what ends with a full stop, without the numbers of its cases."""
    text = " ".join(" ".join(lines).split())
    found = re.split(r"(?<=[a-z)%]\.) ", text)
    return [re.sub(r"^.*Cases? [\d, ]+: ", "", one) for one in found if one.endswith(".")]


@pytest.mark.parametrize("detail", list(Detail))
def test_no_sentence_stands_twice(record: ResultsRecord, detail: Detail) -> None:
    """Neither a caution nor a note, also where several cases have it."""
    found = Counter(sentences(printed(record, detail)))
    assert found
    assert [one for one, count in found.items() if count > 1] == []


@pytest.mark.parametrize("detail", list(Detail))
def test_the_cautions_stand_once_in_every_form(record: ResultsRecord, detail: Detail) -> None:
    """What can hurt, what it prepares, who decides."""
    text = " ".join(" ".join(printed(record, detail)).split())
    for words in (
        "A bar that breaks hurts someone.",
        "prepare a physical test",
        "accredited tests",
        "local rules",
        "licensed practice",
    ):
        assert text.count(words) == 1


def test_a_peak_above_the_proof_stress_is_a_caution(record: ResultsRecord) -> None:
    """It names its cases, in the short form too."""
    text = " ".join(" ".join(printed(record, Detail.DEFAULT)).split())
    assert re.search(r"Cases? [\d, ]*2[\d, ]*: Peak stress above the proof stress", text)


def test_a_wrinkle_says_whether_a_hinge_comes_first(record: ResultsRecord) -> None:
    """Once for each limit that has a moment, and the limit is that of a wrinkle."""
    limits = [one for case in record.cases for one in case.limits if one.moment_ratio is not None]
    assert limits
    assert {one.name for one in limits} == {WRINKLING.label}
    text = "\n".join(printed(record, Detail.VERBOSE))
    assert text.count(" a plastic hinge, at ") == len(limits)


def test_loads_in_words(record: ResultsRecord) -> None:
    """Alike, opposite, and by components where no plane holds them."""
    text = "\n".join(printed(record, Detail.DEFAULT))
    assert "500 N down at right and left 110 mm" in text
    assert "500 N up at right 110 mm; opposite at left" in text
    assert direction((0.0, 151.0, 464.0)) == "up and 18 deg forward"
    assert direction((300.0, 200.0, -500.0)) == "along (300, 200, -500)"


def test_verbose_adds_what_the_short_form_leaves_out(record: ResultsRecord) -> None:
    """Load bands, clamp stiffness, zones, all limits and their inputs, references."""
    text = "\n".join(printed(record, Detail.VERBOSE))
    for words in ("Load band", "stiffness x 1/3", "Zones", "weak inputs", "References", "Contact"):
        assert words in text
    for case in record.cases:
        assert all(limit.name in text for limit in case.limits)


def test_what_has_no_room_is_counted() -> None:
    """The first sentence always stands."""
    texts = [
        f"Sentence number {number} that fills most of a line of a terminal." for number in "123"
    ]
    assert within(texts, 2)[-1].endswith("1 more: --verbose.") or len(within(texts, 2)) <= 2
    assert within(texts, 0)[0].strip().startswith("Sentence number 1")


def test_small_shares_are_bounds() -> None:
    """No error is printed more exactly than it is known."""
    assert percent(0.02) == "< 0.1 %"
    assert percent(1.4449) == "1.4 %"


def test_more_and_less_do_not_go_together(capsys: pytest.CaptureFixture[str]) -> None:
    """One sentence, exit code 2."""
    assert main(["run", "none.toml", "--verbose", "--quiet"]) == 2
    assert "--verbose" in capsys.readouterr().err


def test_only_the_slowest_solver_is_worth_a_word(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Where no other can be used and none was asked for."""
    for door in ("pardiso_usable", "cholmod_usable"):
        monkeypatch.setattr(linear_solver, door, lambda: False)
    check_solver("splu")
    assert capsys.readouterr().err == ""
    check_solver("auto")
    assert "pip install cvxopt" in capsys.readouterr().err
    monkeypatch.setattr(linear_solver, "cholmod_usable", lambda: True)
    check_solver("auto")
    assert capsys.readouterr().err == ""
