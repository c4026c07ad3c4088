"""What does not fit is refused: a line for each thing wrong, with its path, what fits and what to do."""

from __future__ import annotations

import datetime
import math
import os
import re
import tempfile
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import tomli_w
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from anchorsim.core.model import Thing
from anchorsim.core.units import Measure, quantity, us_unit
from anchorsim.scenario.findings import Finding
from anchorsim.scenario.scenario import Scenario, ScenarioError

CASES = Path(__file__).with_name("scenario_refused.txt")
STOCK = Scenario()
NOBODY = 65534  # any user but the administrator
FORM = re.compile(r".+: .+\. Expected .+[.?]( [A-Z].+\.)?", re.DOTALL)
BANNED = re.compile(
    r"needed|was given|mend\b|cannot be|is no |at the (least|most)|not possible|\bshe\b", re.I
)


def cases() -> Iterator[tuple[str, str, str]]:
    """Name, file and lines told of each case in ``scenario_refused.txt``."""
    for block in CASES.read_text(encoding="utf-8").split("\n== ")[1:]:
        name, *lines = block.rstrip("\n").split("\n")
        toml = [line for line in lines if not line.startswith("> ")]
        told = [line.removeprefix("> ") for line in lines if line.startswith("> ")]
        yield name, "\n".join(toml) + "\n", re.sub(r"\{keys of (.*?)\}", _keys, "\n".join(told))


def _keys(found: re.Match[str]) -> str:
    path = found[1]
    if path == "survey.findings.0":
        return ", ".join(Finding.model_fields)
    thing = STOCK if path == "a scenario" else STOCK.get(path)
    return ", ".join(type(thing).model_fields)


def marked(toml: str) -> str:
    """The file with its format first, unless it tells one, or is not TOML at all."""
    try:
        return toml if "format" in tomllib.loads(toml) else f"format = 1\n{toml}"
    except tomllib.TOMLDecodeError:
        return toml


def refusal(path: Path) -> ScenarioError:
    with pytest.raises(ScenarioError) as caught:
        Scenario.load(path)
    return caught.value


@pytest.mark.parametrize(("toml", "told"), [case[1:] for case in cases()], ids=[case[0] for case in cases()])
def test_a_file_is_refused_in_these_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, toml: str, told: str
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("night.toml").write_text(marked(toml), encoding="utf-8")
    error = refusal(Path("night.toml"))
    assert str(error) == told
    assert error.path == error.problems[0][0]


def test_there_are_cases_of_every_kind() -> None:
    told = [line for _, _, lines in cases() for line in lines.split("\n")]
    assert len(told) > 100
    for line in told:
        assert FORM.fullmatch(line), line
        assert not BANNED.search(line), line
        assert len(line) < 520


# --- Files as such ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("content", "wrong"),
    [
        (
            b'title = "T\xe9r\xe8se"\n',  # Latin-1
            ": not text in UTF-8. Expected a file in TOML. Save it as plain text in UTF-8.",
        ),
        (
            b'\xff\xfetitle = "Night"\n\n',  # the mark of UTF-16, and half a letter at the end
            ": not text in UTF-8. Expected a file in TOML. Save it as plain text in UTF-8.",
        ),
        (
            b"x = " + b"[" * 5000,
            ": too many levels. Expected tables like [tackle.chain]. Take brackets out.",
        ),
        (
            b"[tackle]\nscope = " + b"7" * 5000,
            ": a key or a number is too long. Expected at most 200 characters. Shorten it.",
        ),
        (
            b'title = """Night',
            ', at the end: a quotation mark is not closed. Expected lines like depth = "6 m" beneath '
            "headings like [spot]. Correct the end.",
        ),
        (
            b"\x00\x01",
            ', line 1: invalid statement in \\u0000\\u0001. Expected lines like depth = "6 m" beneath '
            "headings like [spot]. Correct that line.",
        ),
    ],
)
def test_a_file_that_is_no_text(tmp_path: Path, content: bytes, wrong: str) -> None:
    path = tmp_path / "night.toml"
    path.write_bytes(content)
    assert str(refusal(path)) == f"{path}{wrong}"


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    path = tmp_path / "nigth.toml"
    assert str(refusal(path)) == (
        f"{path}: could not be read (no such file or directory). Expected a file in TOML. Check the path."
    )


def test_a_folder_is_no_file(tmp_path: Path) -> None:
    assert str(refusal(tmp_path)) == (
        f"{tmp_path}: could not be read (is a directory). Expected a file in TOML. Check the path."
    )


def test_a_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def forbid(*_: object, **__: object) -> str:
        raise PermissionError(13, "Permission denied")

    path = tmp_path / "night.toml"
    path.touch()
    monkeypatch.setattr(os, "open", forbid)
    assert str(refusal(path)) == (
        f"{path}: could not be read (permission denied). Expected a file in TOML. Check the path."
    )


def test_a_path_that_is_none() -> None:
    assert (
        str(refusal(Path("a\0b")))
        == '"a\\u0000b": not a path. Expected a file in TOML. Give the path of one.'
    )


def unwritable(target: Path, reason: str) -> str:
    return (
        f"{target}: could not be written ({reason}). Expected a folder that you may write to. "
        "Choose another folder or name."
    )


def test_saving_where_no_folder_is(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    (tmp_path / "folder.toml").mkdir()
    within, named = tmp_path / "file" / "night.toml", tmp_path / "folder.toml"
    missing, fits = tmp_path / "no" / "night.toml", "Expected the name of a file. Choose another name."
    for target, said in [
        (missing, unwritable(missing, "no such file or directory")),
        (within, unwritable(within, "not a directory")),
        (named, f"{named}: could not be written (it is a folder). {fits}"),
    ]:
        with pytest.raises(ScenarioError) as caught:
            STOCK.save(target)
        assert str(caught.value) == said
    assert sorted(path.name for path in tmp_path.iterdir()) == ["file", "folder.toml"]


@pytest.fixture
def where_one_may_not() -> Iterator[Path]:
    """A folder that may be read only, for someone who is no administrator: one such may write anywhere."""
    with tempfile.TemporaryDirectory() as name:  # in the temporary folder itself, which all may pass through
        folder, administrator = Path(name), os.geteuid() == 0
        if administrator:
            os.chown(folder, NOBODY, -1)
        folder.chmod(0o500)
        if administrator:
            os.seteuid(NOBODY)
        yield folder
        if administrator:
            os.seteuid(0)
        folder.chmod(0o700)


@pytest.mark.skipif(not hasattr(os, "seteuid"), reason="no permissions of this kind on this system")
def test_saving_where_one_may_not(where_one_may_not: Path) -> None:
    with pytest.raises(ScenarioError) as caught:
        STOCK.save(where_one_may_not / "night.toml")
    assert str(caught.value) == unwritable(where_one_may_not / "night.toml", "permission denied")
    assert not list(where_one_may_not.iterdir())


# --- Varying ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        (
            {"tackle.scop": 7},
            "tackle.scop: unknown path. Expected the path of a field, such as tackle.scope; did you "
            "mean tackle.scope? Correct it.",
        ),
        ({"xyz": 7}, "xyz: unknown path. Expected the path of a field, such as tackle.scope. Correct it."),
        (
            {"tackle": 5},
            "tackle: 5 is not a table of keys. Expected a heading [tackle] with keys beneath it. Write "
            "it so.",
        ),
        (
            {"tackle.anchor": {"type": "claw", "weight": "20 kg"}},
            "tackle.anchor.weight: unknown key weight. Expected one of type, mass. Correct or delete it.",
        ),
        (
            {"spot.depth": quantity(6.0, "kg")},
            "spot.depth (Charted depth): 6 kg is a mass. Expected a length, 0.5 to 60 m. Write for "
            'example "12.5 m".',
        ),
        (
            {"spot.depth": quantity(400.0, "ft")},
            "spot.depth (Charted depth): 400 ft is out of range. Expected 0.5 to 60 m (1.641 to 196.8 ft).",
        ),
        (
            {"tackle.scope": quantity(7.0, "")},
            "tackle.scope (Scope): 7 is not a number. Expected 1.2 to 30. Write for example 7.2.",
        ),
        (
            {"tackle.scope": 10**400, "weather.gust": math.inf},
            "tackle.scope (Scope): a number far too large is out of range. Expected 1.2 to 30.\n"
            'weather.gust (Gust): inf has no unit. Expected 0 to 140 knot. Write for example "28 knot".',
        ),
        (
            {"survey.notes": "x" * 10_001, "survey.findings": [{"kind": "anchor zinc gone"}] * 501},
            f'survey.notes: "{"x" * 60}…" is too long. Expected at most 10000 characters; got 10001. '
            "Shorten it.\nsurvey.findings: a list is too long. Expected at most 500; got 501. Shorten it.",
        ),
        (
            {"boat.model": ["sloop-12"]},
            "boat.model (Model): a list is not known. Expected one of sloop-8, sloop-10, sloop-12, "
            "sloop-14, ketch-13, motor-cruiser-11, catamaran-12. Choose one of them.",
        ),
    ],
    ids=str,
)
def test_a_change_is_refused_in_these_words(changes: dict[str, Any], told: str) -> None:
    with pytest.raises(ScenarioError) as caught:
        STOCK.vary(changes)
    assert str(caught.value) == told


def test_a_scenario_made_by_hand_is_refused_in_the_same_words() -> None:
    with pytest.raises(ScenarioError) as caught:
        Scenario(title=7, spot={"depth": "6"}, self=1)
    assert [path for path, _ in caught.value.problems] == ["title", "spot.depth", "self"]
    assert caught.value.problems[0][1] == "7 is not text. Expected text. Put it in quotation marks."
    assert Scenario(spot={"depth": "7 m"}) == STOCK.vary({"spot.depth": "7 m"})


# --- Ranges -------------------------------------------------------------------------------------------------


def _measures(thing: Thing, prefix: str = "") -> Iterator[tuple[str, Measure]]:
    for name, declared in type(thing).declared().items():
        if isinstance(declared, Measure):
            yield f"{prefix}{name}", declared
    for name in type(thing).model_fields:
        value = getattr(thing, name)
        if isinstance(value, Thing):
            yield from _measures(value, f"{prefix}{name}.")


MEASURES = dict(_measures(STOCK))


@pytest.mark.parametrize("path", MEASURES)
def test_ranges_are_kept_in_either_unit_system(path: str) -> None:
    """The ends are taken and what lies beyond them is not, in metric and US units alike."""
    measure = MEASURES[path]
    span = measure.high - measure.low
    units = {measure.unit, us_unit(measure.unit)}
    for unit in units:
        for amount, fits in [
            (measure.low, True),
            (measure.high, True),
            (measure.low - 1e-6 * span, False),
            (measure.high + 1e-6 * span, False),
            (math.nan, False),
        ]:
            given_: Any = amount
            if unit:
                given_ = quantity(float(quantity(amount, measure.unit).m_as(unit)), unit)
            if fits:
                measure.read(given_)
            else:
                with pytest.raises(ValueError, match=r" is out of range\. Expected .*\."):
                    measure.read(given_)


# --- Whatever is given --------------------------------------------------------------------------------------

UNITS = st.sampled_from(["m", "ft", "mm", "kg", "lb", "knot", "kN", "degree", "min", "m²", "", "%", "ton"])
JUNK = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.text(max_size=30),
    st.builds("{} {}".format, st.floats(-100, 1000), UNITS),
    st.dates(),
    st.lists(st.integers(), max_size=2),
    st.dictionaries(st.text(max_size=5), st.integers(), max_size=2),
    st.builds(
        quantity, st.floats(-100, 1000), st.sampled_from(["m", "ft", "kg", "knot", "degree", "s", "m²"])
    ),
)
OTHERS = (
    "boat.model boat.kind boat.hulls boat.name tackle.chain.grade tackle.snubber.legs spot.bottom title "
    "format weather.record tackle boat tackle.anchor spot.nothing survey survey.findings survey.date"
)
PATHS = st.sampled_from([*MEASURES, *OTHERS.split()])
JARGON = re.compile(
    r"should (be|have)|Field required|validation error|pydantic|Traceback|\b(dict|str|int)\b|<class"
)
GIVEN = re.compile(r'"[^"]*"|\'.*\'')  # what was given is quoted, and may be any word


def is_plain(error: ScenarioError) -> None:
    for path, sentence in error.problems:
        line = f"{path}: {sentence}"
        assert len(line) < 700
        assert "\n" not in line
        assert not JARGON.search(GIVEN.sub("", sentence)), line
        assert FORM.fullmatch(line), line


@settings(deadline=None, max_examples=400)
@given(st.dictionaries(PATHS, JUNK, min_size=1, max_size=4))
def test_whatever_is_given_comes_to_a_scenario_or_to_plain_words(changes: dict[str, Any]) -> None:
    try:
        varied = STOCK.vary(changes)
    except ScenarioError as error:
        is_plain(error)
    else:
        assert isinstance(varied, Scenario)
        assert varied.vary({}) == varied


TIMES = st.one_of(st.dates(), st.times(), st.just(datetime.datetime(2026, 5, 1, tzinfo=datetime.UTC)))
NUMBERS = st.one_of(st.booleans(), st.integers(-(2**63), 2**63 - 1), st.floats())
VALUES = st.one_of(NUMBERS, TIMES, st.text(max_size=20))
NAMES = "boat tackle anchor chain spot depth scope format mass weather gust model survey findings kind"
KEYS = st.one_of(st.sampled_from(NAMES.split()), st.text(max_size=6))
TOML = st.recursive(
    st.dictionaries(KEYS, VALUES, max_size=3),
    lambda inner: st.dictionaries(KEYS, st.one_of(VALUES, inner, st.lists(inner, max_size=2)), max_size=4),
    max_leaves=8,
)


@settings(deadline=None, max_examples=300)
@given(TOML)
def test_whatever_a_file_holds_is_told_in_plain_words(
    tmp_path_factory: Any, document: dict[str, Any]
) -> None:
    path = tmp_path_factory.getbasetemp() / "whatever.toml"
    path.write_text(tomli_w.dumps(document), encoding="utf-8")
    try:
        Scenario.load(path)
    except ScenarioError as error:
        is_plain(error)


@settings(deadline=None, max_examples=300)
@given(st.text(max_size=80))
def test_whatever_text_a_file_holds_is_told_in_plain_words(tmp_path_factory: Any, text: str) -> None:
    path = tmp_path_factory.getbasetemp() / "whatever.toml"
    assume("\r" not in text)
    path.write_text(text, encoding="utf-8")
    try:
        Scenario.load(path)
    except ScenarioError as error:
        is_plain(error)
