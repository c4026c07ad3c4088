"""The report: harmless whatever is in the survey, whole, valid, and told in the words of the computation."""

from __future__ import annotations

import base64
import datetime
import functools
import math
import re
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
import vobject
from PIL import Image
from report_page import HTML, NASTY, SCRIPT, harm, hostile, parsed

from anchorsim import Scenario, appraise, calendar, recommendations, write_report
from anchorsim.cli import main
from anchorsim.core.resources import folder
from anchorsim.core.tables import pick, table
from anchorsim.report import ReportError
from anchorsim.report.blocks import Gallery
from anchorsim.report.content import content
from anchorsim.report.page import page
from anchorsim.report.photographs import photograph
from anchorsim.scenario.findings import Survey
from anchorsim.survey.maintenance import reckoned_from
from anchorsim.survey.recommendations import all_done
from anchorsim.wording import amounts
from anchorsim.wording.amounts import listed
from anchorsim.wording.recommendations import benefit, remedy, wrong
from anchorsim.wording.report import CALENDAR_COLUMNS
from anchorsim.wording.sources import KINDS

SHARED = sorted(folder("shared").glob("*.toml"))
SURVEYS = [path for path in SHARED if path.name.startswith("survey-")]
ORDER = (
    "What the work gains",
    "What to do",
    "Limits of this survey",
    "Parts one by one",
    "Findings",
    "Recommendations",
    "Boat and rode at peak load",
    "Appendix A: match and size",
    "Appendix B: maintenance calendar",
    "Appendix C: method",
    "Appendix D: limits of the calculation",
    "Appendix E: sources",
)


@pytest.fixture(scope="module")
def evil(tmp_path_factory: pytest.TempPathFactory) -> Scenario:
    return hostile(tmp_path_factory.mktemp("evil") / "own")


@pytest.fixture(scope="module")
def evil_page(evil: Scenario) -> str:
    return page(content(evil, "metric"))


@functools.cache
def page_of(path: Path) -> str:
    """The page of a scenario's file, made once for all tests."""
    return page(content(Scenario.load(path), "metric"))


def text_of(html: str) -> str:
    """The words of the page, with spaces for those at which no line breaks."""
    return "\n".join(parsed(html).itertext()).replace("\xa0", " ")


def test_a_boat_beyond_the_sizing_table_is_told_so() -> None:
    """A catamaran of 6.6 m beam: H-40's table ends at 15 ft."""
    rows = text_of(page_of(folder("shared") / "catamaran-bridle.toml")).split("Published design load, ")[1:]
    assert len(rows) == 3
    assert all("not in the table: the boat is too long or too wide for its last row" in row for row in rows)


@pytest.mark.parametrize("path", SHARED, ids=lambda path: path.stem)
def test_each_shared_scenario_makes_a_valid_page_without_harm(path: Path) -> None:
    """Valid by html5lib's strict mode, which follows the parsing rules of the HTML standard."""
    assert harm(page_of(path)) == []


def test_there_are_the_three_surveys() -> None:
    assert len(SURVEYS) == 3


def test_a_hostile_survey_makes_a_page_without_harm(evil_page: str) -> None:
    assert harm(evil_page) == []


def test_the_harm_that_is_looked_for_would_be_found() -> None:
    """The check itself: each kind of harm in a page is reported."""
    start = "<!DOCTYPE html><html lang=en><head><title>t</title></head><body>"
    for body, found in (
        (SCRIPT, "script"),
        ('<p onclick="x()">a</p>', "p onclick"),
        ('<img src="https://example.org/x.png" alt="">', "img src=https://example.org/x.png"),
        ('<a href="javascript:alert(1)">a</a>', "a href=javascript:alert(1)"),
    ):
        assert found in harm(f"{start}{body}</body></html>")


def test_all_that_was_written_stands_on_the_page_as_it_was_written(evil: Scenario, evil_page: str) -> None:
    text = text_of(evil_page)
    survey = evil.survey
    for written in (survey.surveyor, survey.client, survey.place, survey.notes, evil.boat.name, NASTY):
        assert written in text
    for finding in survey.findings:
        assert finding.note in text
        for name in finding.photographs:
            assert name in text


def test_what_html_forbids_and_what_turns_text_round_is_replaced(evil_page: str) -> None:
    assert not re.search(
        "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ufffe\uffff]", evil_page
    )


def test_only_photographs_of_the_own_folder_are_shown_and_the_others_are_named(
    evil: Scenario, evil_page: str
) -> None:
    addresses = [
        image.get("src", "")
        for image in parsed(evil_page).iter(f"{HTML}img")
        if "Photograph" in image.get("alt", "")
    ]
    assert len(addresses) == 2 and len(set(addresses)) == 1  # in the list of jobs and with its finding
    assert addresses[0].startswith("data:image/jpeg;base64,")
    galleries = [
        block
        for section in content(evil, "metric").sections
        for block in section.blocks
        if isinstance(block, Gallery)
    ]
    wrong = {each.name: each.wrong for gallery in galleries for each in gallery.photographs}
    assert wrong["in/good.jpg"] == ""
    outside = "not shown: outside the folder of the scenario file"
    assert {wrong[name] for name in ("../secret.png", "/dev/zero", "link.png")} == {outside}
    assert wrong["absent.jpg"] == "not found beside the scenario file"
    for name in ("corrupt.jpg", "page.svg", "empty.png"):
        assert wrong[name] == "not readable: damaged, or not a photograph"
    assert all(wrong[name] for name in wrong if name != "in/good.jpg")


def test_a_photograph_is_made_small_turned_upright_and_freed_of_where_it_was_taken(tmp_path: Path) -> None:
    exif = Image.Exif()
    exif[0x0112] = 6  # orientation: turn right by a quarter (Exif 2.32, tag 274)
    exif[0x010E] = "taken at home"  # ImageDescription, tag 270
    exif.get_ifd(0x8825)[1] = "N"  # GPSLatitudeRef
    Image.new("RGB", (2000, 1000), "navy").save(tmp_path / "big.jpg", exif=exif)
    found = photograph(tmp_path, "big.jpg")
    data = base64.b64decode(found.address.split(",")[1])
    (tmp_path / "small.jpg").write_bytes(data)
    with Image.open(tmp_path / "small.jpg") as small:
        assert small.size == (450, 900)
        assert not small.getexif()
    assert b"taken at home" not in data


def test_a_photograph_that_one_can_see_through_stands_on_white(tmp_path: Path) -> None:
    Image.new("RGBA", (10, 10), (0, 0, 0, 0)).save(tmp_path / "clear.png")
    (tmp_path / "seen.jpg").write_bytes(
        base64.b64decode(photograph(tmp_path, "clear.png").address.split(",")[1])
    )
    with Image.open(tmp_path / "seen.jpg") as seen:
        assert all(low > 250 for low, _ in seen.getextrema())


def test_pictures_are_harmless_svg_with_words_beside_them(evil_page: str) -> None:
    pictures = [image for image in parsed(evil_page).iter(f"{HTML}img") if "svg" in image.get("src", "")]
    assert len(pictures) == 4
    for picture in pictures:
        assert len(picture.get("alt", "")) > 40
        drawing = ET.fromstring(base64.b64decode(picture.get("src", "").split(",")[1]))
        for element in drawing.iter():
            assert element.tag.split("}")[1] not in ("script", "foreignObject", "image", "a")
            for name, value in element.attrib.items():
                assert not name.startswith("on")
                assert not name.endswith("href") or value.startswith("#")


@pytest.mark.parametrize("path", SURVEYS, ids=lambda path: path.stem)
def test_the_page_says_what_the_computation_says_in_the_order_of_a_client(path: Path) -> None:
    """Weakest link before and after, each remedy and each part, from the functions that computed them."""
    scenario = Scenario.load(path)
    before, found = appraise(scenario), recommendations(scenario)
    after = appraise(all_done(scenario, found))
    html = page_of(path)
    text = text_of(html)
    summary = text[: text.index("Limits of this survey")]
    for appraisal in (before, after):
        assert appraisal.weakest.name in summary
        assert amounts.force(appraisal.weakest.strength_left.likely, "metric") in summary
    for entry in found:
        assert remedy(entry, "metric") in text
        assert wrong(entry, "metric") in text
        assert remedy(entry, "metric") in summary
    for part in before.parts:
        assert part.name in text
    heads = ["".join(head.itertext()) for head in parsed(html).iter(f"{HTML}h2")]
    ketch = path.stem == "survey-sound-ketch"  # no job of hers changes the weakest link or the outcome
    assert heads == ["Weakest parts" if ketch else ORDER[0], *ORDER[1:]]


@pytest.mark.parametrize("path", SURVEYS, ids=lambda path: path.stem)
def test_every_reference_leads_to_a_source_of_a_known_kind(path: Path) -> None:
    tree = parsed(page_of(path))
    names = [
        element.get("id") for element in tree.iter() if isinstance(element.tag, str) and element.get("id")
    ]
    assert len(names) == len(set(names))
    led = {link.get("href", "")[1:] for link in tree.iter(f"{HTML}a")}
    assert led
    assert led <= set(names)
    order = list(KINDS.values())
    kinds = [head.text for head in tree.iter(f"{HTML}h3") if head.text in order]
    assert "Published" in kinds and kinds == sorted(kinds, key=order.index)


def test_an_empty_survey_says_so_and_certifies_nothing() -> None:
    """Though it names a surveyor and a client: nobody signs, and every part is listed as not inspected."""
    scenario = Scenario.load(folder("shared") / "sloop-gale-veering.toml")
    named = scenario.vary({"survey.surveyor": "R. Askew", "survey.client": "T. Merrow"})
    assert named.survey != Survey()
    html = page(content(named, "metric"))
    text = text_of(html)
    assert "Ground tackle as described" in text and "Ground tackle survey" not in text
    assert text.count("This survey is empty and certifies nothing.") == 2
    limits = text.partition("Limits of this survey")[2].partition("Parts one by one")[0]
    for row in table("parts"):
        assert str(row["label"]).lower() in limits
    headings = {"".join(head.itertext()) for head in parsed(html).iter(f"{HTML}h2")}
    assert headings == {*ORDER[1:], "Weakest parts"} - {
        "Findings", "Recommendations", "Appendix B: maintenance calendar",
    }  # fmt: skip
    assert "As described" in text
    for absent in ("T. Merrow", "As found", "Received and understood", "No job before use"):
        assert absent not in text


def test_the_page_says_which_parts_were_inspected() -> None:
    looked = {"survey.client": "N. N.", "survey.looked_at": ["anchor", "snubber"]}
    text = text_of(page(content(Scenario().vary(looked), "metric")))
    seen = text.partition("Inspected, no fault found:")[2].partition(".")[0]
    unseen = text.partition("Not inspected, assumed as new:")[2].partition(".")[0]
    assert seen.strip() == "Anchor and snubber"
    labels = [str(row["label"]).lower() for row in table("parts")]
    assert unseen.strip().lower() == listed([name for name in labels if name not in ("anchor", "snubber")])
    assert f"{len(labels) - 2} of {len(labels)} parts were not inspected." in text


@pytest.mark.parametrize("path", SURVEYS, ids=lambda path: path.stem)
def test_no_part_with_a_job_is_said_to_be_without_fault(path: Path) -> None:
    scenario = Scenario.load(path)
    text = text_of(page(content(scenario, "metric")))

    def said(label: str) -> set[str]:
        names = text.partition(f"{label}:")[2].partition(".")[0].lower().replace(" and chafe", " & chafe")
        return {name.strip().replace(" & ", " and ") for name in re.split(r", | and ", names) if name.strip()}

    jobs = {str(pick("parts", part=entry.part)["label"]).lower() for entry in recommendations(scenario)}
    faultless = said("Inspected, no fault found")
    assert not faultless & jobs
    if path.stem == "survey-neglected-sloop":
        assert faultless == {"snubber attachment", "lead and chafe gear", "gypsy"}
        named = said("Inspected, a job named")
        assert named == {"anchor (a4)", "second anchor (b3)", "swivel (a2)", "bitter end (b1)"}


def test_the_client_reads_on_his_own_pages_what_each_job_gains() -> None:
    scenario = Scenario.load(folder("shared") / "survey-neglected-sloop.toml")
    pages = text_of(page(content(scenario, "metric"))).partition("Limits of this survey")[0]
    for entry in recommendations(scenario):
        gained = "; ".join(benefit(entry, "metric")).rstrip(".")
        assert (f"Benefit: {gained}." in pages) == entry.helps
    assert pages.count("Benefit: ") == sum(entry.helps for entry in recommendations(scenario)) > 3


@pytest.mark.parametrize("path", SURVEYS, ids=lambda path: path.stem)
def test_us_units_are_used_for_loads_and_lengths(path: Path) -> None:
    scenario = Scenario.load(path)
    text = text_of(page(content(scenario, "US")))
    assert " lbf" in text
    assert re.findall(r"\d (?:kN|m|kg)\b", text.replace(scenario.title, "")) == []
    ours = text.rpartition("Appendix E: sources")[0].replace(scenario.title, "")
    assert re.findall(r"(?<![(\d.])[\d.]+ mm\b", ours) == []  # only in brackets behind a trade size
    assert re.findall(r"(?i)\b(?:gypsy|chain locker|plough|spanner|draught)\b|galvanis", ours) == []


def test_the_same_survey_makes_the_same_page_and_the_file_is_that_page(tmp_path: Path) -> None:
    write_report(Scenario.load(SURVEYS[0]), tmp_path / "report.html")
    assert (tmp_path / "report.html").read_text(encoding="utf-8") == page_of(SURVEYS[0])


def test_a_name_that_ends_otherwise_is_refused(tmp_path: Path) -> None:
    with pytest.raises(
        ReportError, match=r"report\.txt\": unknown kind of file\. Expected a name that ends in"
    ):
        write_report(Scenario(), tmp_path / "report.txt")
    assert not list(tmp_path.iterdir())


def test_a_folder_that_is_absent_is_told_and_nothing_is_left(tmp_path: Path) -> None:
    with pytest.raises(ReportError, match=r"could not be written .* Choose another folder or name"):
        write_report(Scenario(), tmp_path / "absent" / "report.html")


def test_the_command_writes_a_page_and_refuses_in_a_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture
) -> None:
    out = tmp_path / "report.html"
    assert main(["report", str(SURVEYS[0]), "-o", str(out), "--us"]) == 0
    assert "\xa0lbf" in out.read_text(encoding="utf-8")
    assert main(["report", str(SURVEYS[0]), "-o", str(tmp_path / "report")]) == 2
    assert "Expected a name that ends in .html, .pdf, .docx or .ics" in capsys.readouterr().err


def test_the_calendar_of_next_inspections_opens_in_another_library(tmp_path: Path) -> None:
    scenario = Scenario.load(SURVEYS[0])
    write_report(scenario, tmp_path / "survey.ics")
    book = vobject.readOne((tmp_path / "survey.ics").read_text(encoding="utf-8"))
    starts = sorted(event.dtstart.value for event in book.vevent_list)
    assert starts == [due.date for due in calendar(scenario, reckoned_from(scenario))]


def test_the_file_and_the_report_tell_the_same_dates_and_what_is_overdue_from_the_surveys_date(
    tmp_path: Path,
) -> None:
    scenario = Scenario.load(folder("shared") / "survey-neglected-sloop.toml")
    assert scenario.survey.date == datetime.date(2025, 4, 12)
    write_report(scenario, tmp_path / "survey.ics")
    book = vobject.readOne((tmp_path / "survey.ics").read_text(encoding="utf-8"))
    # the file adds to each reason, in brackets, what kind of source it has
    told = {
        (amounts.day(event.dtstart.value), event.summary.value, event.description.value.rpartition(" (")[0])
        for event in book.vevent_list
    }
    html = parsed(page(content(scenario, "metric")))
    tables = [
        [tuple(" ".join("".join(cell.itertext()).split()) for cell in row) for row in found.iter(f"{HTML}tr")]
        for found in html.iter(f"{HTML}table")
    ]
    [rows] = [found[1:] for found in tables if found and found[0] == CALENDAR_COLUMNS]
    assert told == {row[:3] for row in rows}
    # last run on 20 September 2024 and due every two weeks: overdue since 4 October
    [run] = [why for day, job, why in told if job == "Run the windlass both ways under light load"]
    assert run.startswith("Last done 20 September 2024. Overdue since 4 October 2024.")
    assert sum("Overdue since" in why for *_, why in told) == 2, (
        "the windlass was last serviced in March 2023"
    )


def test_what_heads_it_and_what_it_is_compared_with_come_from_files_beside_it(tmp_path: Path) -> None:
    now = Scenario.load(SURVEYS[0])
    earlier = {"survey.date": "2023-04-20", "survey.findings": now.survey.findings[:2]}
    now.vary(earlier).save(tmp_path / "last.toml")
    now.vary({"survey.previous": "last.toml"}).save(tmp_path / "now.toml")
    (tmp_path / "letterhead.txt").write_text("Askew & Fenn, surveyors")
    assert main(["report", str(tmp_path / "now.toml"), "-o", str(tmp_path / "now.html")]) == 0
    html = (tmp_path / "now.html").read_text(encoding="utf-8")
    assert "Askew &amp; Fenn, surveyors" in html and "Since the survey of 20 April 2023:" in html
    assert "Since the last survey" in {"".join(head.itertext()) for head in parsed(html).iter(f"{HTML}h2")}


@pytest.mark.parametrize(
    ("given", "told"),
    [(math.inf, amounts.NONE), (math.nan, amounts.NONE), (3.449, "3.4"), (12.6, "13"), (0.0, "0")],
)
def test_factors_are_told_to_two_digits(given: float, told: str) -> None:
    assert amounts.factor(given) == told


def test_a_bottom_that_slopes_is_told_of() -> None:
    told = text_of(page_of(folder("shared") / "sloop-off-shelving-beach.toml"))
    assert "6 m of water with the tide, firm sand, sloping 3°, deepens towards 250° (WSW)." in told
