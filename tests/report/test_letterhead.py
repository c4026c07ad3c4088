"""The surveyor's letterhead and mark: from the survey or from files beside it, refused in a sentence."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import Image

from anchorsim.core.errors import AnchorsimError
from anchorsim.report.letterhead import last_survey, letterhead
from anchorsim.scenario.scenario import Scenario


@pytest.fixture
def own(tmp_path: Path) -> Scenario:
    path = tmp_path / "own" / "survey.toml"
    path.parent.mkdir()
    Scenario().save(path)
    return Scenario.load(path)


def mark(path: Path) -> None:
    Image.new("RGB", (30, 10), "navy").save(path)


def test_without_one_there_is_none(own: Scenario) -> None:
    assert letterhead(own) == letterhead(Scenario()) == type(letterhead(own))()


def test_a_text_beside_the_survey_serves_and_a_picture_of_its_name_is_the_mark(own: Scenario) -> None:
    (own.folder / "letterhead.txt").write_text("R. Askew, surveyor\r\n\r\n 12 Quay Row \n")
    mark(own.folder / "letterhead.png")
    found = letterhead(own)
    assert found.lines == ("R. Askew, surveyor", "12 Quay Row")
    assert found.logo is not None and found.logo.address.startswith("data:image/jpeg;base64,")


def test_the_surveys_own_goes_first_and_then_the_file_that_is_named(own: Scenario, tmp_path: Path) -> None:
    (own.folder / "letterhead.txt").write_text("beside")
    named = tmp_path / "named.txt"
    named.write_text("named")
    mark(own.folder / "own.jpg")
    assert letterhead(own, named).lines == ("named",)
    found = letterhead(
        own.vary({"survey.letterhead": "of the survey\nhere", "survey.logo": "own.jpg"}), named
    )
    assert found.lines == ("of the survey", "here") and found.logo is not None


@pytest.mark.parametrize(
    ("logo", "told"),
    [
        ("absent.png", 'logo: "absent.png" is not found beside the scenario file. Expected a picture'),
        ("../out.png", 'logo: "../out.png" is not shown: outside the folder of the scenario file. Expected'),
        ("text.png", 'logo: "text.png" is not readable: damaged, or not a photograph. Expected a picture'),
    ],
)
def test_a_mark_that_cannot_be_taken_is_refused_in_a_sentence(own: Scenario, logo: str, told: str) -> None:
    mark(own.folder.parent / "out.png")
    (own.folder / "text.png").write_text("no picture")
    with pytest.raises(AnchorsimError) as refused:
        letterhead(own.vary({"survey.logo": logo}))
    assert str(refused.value).startswith(told)


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"x" * 121, "letterhead: too long. Expected at most 8 lines of 120 characters. Shorten it."),
        (b"line\n" * 9, "letterhead: too long. Expected at most 8 lines of 120 characters. Shorten it."),
        (b"\xff\xff\xff", "not text in UTF-8"),
        (b"a" * 10_001, "too large"),
    ],
)
def test_a_letterhead_that_is_none_is_refused_in_a_sentence(own: Scenario, content: bytes, told: str) -> None:
    (own.folder / "letterhead.txt").write_bytes(content)
    with pytest.raises(AnchorsimError) as refused:
        letterhead(own)
    assert told in str(refused.value)


def test_the_last_survey_is_read_from_its_folder_only(own: Scenario) -> None:
    assert last_survey(own) is None
    own.vary({"survey.client": "earlier"}).save(own.folder / "last.toml")
    found = last_survey(own.vary({"survey.previous": "last.toml"}))
    assert found is not None and found.survey.client == "earlier"
    with pytest.raises(AnchorsimError, match=r'survey.previous: "\.\./last\.toml" is outside its folder'):
        last_survey(own.vary({"survey.previous": "../last.toml"}))
