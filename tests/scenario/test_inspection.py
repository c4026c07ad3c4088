"""The survey of a scenario: what it takes, what it refuses, and that its file gives it back."""

from __future__ import annotations

import datetime
import tomllib
from pathlib import Path

import pytest
from findings_of_all_kinds import EVERY
from hypothesis import given
from hypothesis import strategies as st

from anchorsim.core.resources import folder
from anchorsim.core.tables import table
from anchorsim.core.units import quantity, si
from anchorsim.scenario.findings import (
    OTHER,
    Finding,
    Survey,
    grades_of,
    kinds_on,
    parts_of,
    rows_of,
)
from anchorsim.scenario.scenario import Scenario, ScenarioError
from anchorsim.scenario.text import LONGEST_NOTE

KINDS = list(dict.fromkeys(row["finding"] for row in table("findings")))


def test_every_kind_is_taken_and_given_back_by_a_file(tmp_path: Path) -> None:
    scenario = Scenario().vary({"survey.findings": EVERY})
    scenario.save(tmp_path / "all.toml")
    assert Scenario.load(tmp_path / "all.toml") == scenario
    assert len(scenario.survey.findings) == len(EVERY) >= 60


def test_a_survey_without_anything_is_not_in_the_file() -> None:
    assert "survey" not in Scenario().document()


def test_dates_as_toml_has_them_and_as_text(tmp_path: Path) -> None:
    file = tmp_path / "survey.toml"
    file.write_text(
        'format = 1\n[survey]\ndate = 2025-04-12\n[survey.log]\nlaid_out = "2024-03-01"\n', encoding="utf-8"
    )
    survey = Scenario.load(file).survey
    assert (survey.date, survey.log.laid_out) == (datetime.date(2025, 4, 12), datetime.date(2024, 3, 1))


@pytest.mark.parametrize("given", [20250412, "12.4.2025", True, "2025-13-01", 3.5, "2025-04-12T08:00", ""])
def test_what_is_no_date_is_refused(given: object) -> None:
    with pytest.raises(
        ScenarioError, match=r"^survey\.date: .* is not a date\. Expected year-month-day\. Write for"
    ):
        Scenario().vary({"survey.date": given})


@pytest.mark.parametrize(
    ("finding", "sentence"),
    [
        ({"kind": "chain link worm"}, 'kind (Finding): "chain link worm" is not a kind of finding. Expected'),
        ({"kind": 3}, "kind (Finding): 3 is not a kind of finding. Expected one of the "),
        ({"kind": "rope stiff"}, 'part: "" is not known. Expected one of rope, snubber.'),
        ({"kind": "rope stiff", "part": "chain"}, 'part: "chain" is not known. Expected'),
        ({"kind": "chain rusted"}, 'grade: "" is not known. Expected one of surface, flaking, pitted.'),
        ({"kind": "chain link worn"}, "measured: nothing is not a quantity. Expected 2 to 20 mm."),
        ({"kind": "chain link worn", "measured": 7}, "measured: 7 has no unit. Expected 2 to 20 mm"),
        ({"kind": "chain link worn", "measured": "7 kg"}, "measured: 7 kg is a mass. Expected a length, 2"),
        ({"kind": "chain link worn", "measured": "7 cm"}, 'measured: 7 cm is out of range'),
        ({"kind": "splice of few tucks", "measured": "4 mm"}, 'measured: 4 mm is not a number'),
        ({"kind": "cleat cracked", "measured": "4 mm"}, 'measured: "cleat cracked" takes no measurement'),
        ({"kind": "cleat cracked", "colour": "red"}, "colour: unknown key colour. Expected one of kind"),
    ],
)  # fmt: skip
def test_a_finding_that_cannot_be_is_refused_with_its_path(finding: dict[str, object], sentence: str) -> None:
    with pytest.raises(ScenarioError) as caught:
        Scenario().vary({"survey.findings": [finding]})
    assert str(caught.value).replace("'", '"').startswith(f"survey.findings.0.{sentence}")


def test_each_bad_finding_is_told() -> None:
    bad = [{"kind": "cleat cracked"}, {"kind": "chain rusted"}, {"kind": "nothing like it"}]
    with pytest.raises(ScenarioError) as caught:
        Scenario().vary({"survey.findings": bad})
    assert [path for path, _ in caught.value.problems] == [
        "survey.findings.1.grade",
        "survey.findings.2.kind",
    ]


def test_a_part_goes_without_saying_where_there_is_one_only() -> None:
    assert Finding(kind="cleat cracked").part == "strong point"


# --- Text ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("bad", ["\x00", "\x07", "\x1b", "\x7f", "\x9b", "\u202e", "\u2066", "\ud800"])
def test_control_characters_are_refused(bad: str) -> None:
    sentence = rf"survey\.notes: the text holds the control character U\+{ord(bad):04X} at place 6\. Expected"
    with pytest.raises(ScenarioError, match=sentence):
        Scenario().vary({"survey.notes": f"mark {bad} here"})


def test_line_ends_become_one() -> None:
    assert Scenario().vary({"survey.notes": "a\r\nb\rc\n\td"}).survey.notes == "a\nb\nc\n\td"


def test_a_note_has_its_length_and_no_more() -> None:
    long = "n" * LONGEST_NOTE
    assert LONGEST_NOTE == 10_000
    assert Scenario().vary({"survey.notes": long}).survey.notes == long
    with pytest.raises(
        ScenarioError, match=r"is too long\. Expected at most 10000 characters; got 10001\. Shorten it"
    ):
        Scenario().vary({"survey.notes": long + "n"})


def test_a_name_is_one_line() -> None:
    with pytest.raises(
        ScenarioError, match=r"^survey\.client: .*has several lines\. Expected one line of text"
    ):
        Scenario().vary({"survey.client": "A\nB"})


@given(st.text(st.characters(exclude_categories=("Cc", "Cs", "Cf")), max_size=300))
def test_any_text_comes_back_from_the_file(text: str) -> None:
    scenario = Scenario().vary({"survey.findings": [{"kind": "cleat cracked", "note": text}]})
    assert Scenario.model_validate(scenario.document()).survey.findings[0].note == text


def test_markup_is_text_like_any_other() -> None:
    script = '<script>alert("x")</script>'
    assert Scenario().vary({"survey.client": script}).survey.client == script


# --- The table ----------------------------------------------------------------------------------------------


def test_the_table_covers_every_part() -> None:
    parts = [row["part"] for row in table("parts")]
    assert len(KINDS) >= 60
    for part in parts:
        assert kinds_on(part), part
    assert {part for kind in KINDS for part in parts_of(kind)} == set(parts)


@pytest.mark.parametrize("kind", KINDS)
def test_every_row_says_all_that_a_person_must_know(kind: str) -> None:
    for row in rows_of(kind):
        for column in ("what", "check", "remedy", "clears", "urgency", "again"):
            assert row.get(column), (kind, column)
        assert row["urgency"] in ("before use", "this season", "at leisure")
        assert row["clears"] in ("finding", "part")
        for of in ("strength", "holding"):
            shares = [row.get(f"{of} {end}") for end in ("low", "likely", "high")]
            if shares != [None] * 3:
                assert 0 <= shares[0] <= shares[1] <= shares[2] <= 1
        effects = ("strength likely", "holding likely", "law", "behaviour", "stretch")
        assert kind == OTHER or any(name in row for name in effects), "a finding has an effect"
    graded = grades_of(kind)
    assert len(set(graded)) == len(graded)


def test_worse_grades_leave_less() -> None:
    for kind in KINDS:
        left = [row["strength likely"] for row in rows_of(kind) if "strength likely" in row]
        assert left == sorted(left, reverse=True), kind


def test_changes_that_remedies_name_can_be_made() -> None:
    for row in table("findings"):
        for text in (row.get("change", ""), row.get("unless", ""), row.get("implies", "")):
            for entry in filter(None, text.split("; ")):
                path, _, value = entry.partition(" = ")
                given = {"true": True, "false": False}.get(value, value)
                got = Scenario().vary({path: given}).get(path)
                assert got == given or si(got) == si(quantity(*_split(value)))


def _split(text: str) -> tuple[float, str]:
    number, unit = text.split()
    return float(number), unit


def test_the_table_is_plain_text_that_any_sheet_opens() -> None:
    text = (folder("data") / "findings.csv").read_text(encoding="utf-8")
    assert "\r" not in text
    assert all(not cell.startswith(("=", "+", "@")) for line in text.splitlines() for cell in line.split(","))


def test_findings_stand_as_tables_in_a_file(tmp_path: Path) -> None:
    file = tmp_path / "survey.toml"
    file.write_text(
        'format = 1\n[[survey.findings]]\nkind = "cleat cracked"\nphotographs = ["a.jpg"]\n',
        encoding="utf-8",
    )
    scenario = Scenario.load(file)
    assert scenario.survey.findings == (Finding(kind="cleat cracked", photographs=("a.jpg",)),)
    scenario.save(file)
    saved = tomllib.loads(file.read_text(encoding="utf-8"))["survey"]["findings"]
    assert saved == [{"kind": "cleat cracked", "part": "strong point", "photographs": ["a.jpg"]}]


def test_parts_looked_at_stand_in_the_order_of_the_walk() -> None:
    survey = Survey.model_validate({"looked_at": ["chain", "anchor", "chain"]})
    assert survey.looked_at == ("anchor", "chain")
    with_finding = survey.model_copy(update={"findings": (Finding(kind="rope stiff", part="rope"),)})
    assert with_finding.seen == ("anchor", "chain", "rope")
    with pytest.raises(ScenarioError) as caught:
        Scenario().vary({"survey.looked_at": ["anchor", "cahin"]})
    ((path, sentence),) = caught.value.problems
    assert path.startswith("survey.looked_at")
    assert sentence.startswith('"cahin" is not known. Expected one of anchor, second anchor, anchor shackle,')
    assert sentence.endswith("; did you mean chain?")


# --- Several places, other defects, and what the surveyor adds ----------------------------------------------


def test_of_wear_at_several_places_the_least_mean_counts() -> None:
    """Two diameters across the wear, their mean, the thinnest of three places."""
    finding = Finding.model_validate(
        {
            "kind": "chain link worn",
            "readings": [
                {"place": "at 2 m", "measured": ["7.4 mm", "7.6 mm"]},
                {"place": "at 5 m", "measured": ["6.9 mm", "7.3 mm"]},
                {"place": "on the gypsy", "measured": ["7.2 mm"]},
            ],
        }
    )
    assert si(finding.measured) == pytest.approx(0.0071)
    scenario = Scenario().vary({"survey.findings": [finding]})
    assert Scenario.model_validate(scenario.document()) == scenario


def test_of_stretch_at_several_places_the_greatest_counts() -> None:
    readings = [{"measured": ["2 percent"]}, {"measured": ["4 percent"]}]
    found = Finding.model_validate({"kind": "chain links stretched", "readings": readings})
    assert si(found.measured) == pytest.approx(0.04)


@pytest.mark.parametrize(
    ("finding", "sentence"),
    [
        ({"kind": "chain link worn", "readings": [{"measured": ["7 cm"]}]},
         "readings.0.measured.0: 7 cm is out of range"),
        ({"kind": "chain link worn", "readings": [{"measured": []}]}, "readings.0.measured"),
        ({"kind": "cleat cracked", "readings": [{"measured": ["7 mm"]}]},
         'readings.0.measured.0: "cleat cracked" takes no measurement'),
        ({"kind": OTHER, "part": "chain", "grade": "A"}, "words: missing. Expected what the defect is."),
    ],
)  # fmt: skip
def test_readings_and_words_that_do_not_fit_are_refused(finding: dict[str, object], sentence: str) -> None:
    with pytest.raises(ScenarioError) as caught:
        Scenario().vary({"survey.findings": [finding]})
    assert str(caught.value).startswith(f"survey.findings.0.{sentence}")


def test_another_defect_can_be_on_any_part_with_a_chosen_grade() -> None:
    for part in (row["part"] for row in table("parts")):
        urgencies = [
            Finding(kind=OTHER, part=part, grade=grade, words="Odd").row()["urgency"] for grade in "ABC"
        ]
        assert urgencies == ["before use", "this season", "at leisure"]


def test_an_empty_survey_knows_that_it_is_empty() -> None:
    survey = Survey(surveyor="R. Askew", asked="Fit for a summer at anchor?", lying="afloat")
    assert survey.empty
    assert len(survey.unseen) == len(table("parts"))
    looked = Survey(looked_at=("anchor",))
    assert not looked.empty
    assert "anchor" not in looked.unseen


def test_time_and_cost_are_the_surveyors() -> None:
    survey = Survey.model_validate({"works": [{"job": "chain: chain link worn", "time": "half a day"}]})
    assert survey.work("chain: chain link worn").time == "half a day"
    assert survey.work("anchor: anchor too light").cost == ""
