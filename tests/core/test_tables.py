"""The folder ``data``: every row has a source, every number a unit, and a wrong table says what is wrong."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from anchorsim.core import tables
from anchorsim.core.model import Thing
from anchorsim.core.resources import folder
from anchorsim.core.tables import KINDS, Choice, catalogue, nearest, pick, table, unknown
from anchorsim.scenario.site import Spot
from anchorsim.scenario.tackle import Anchor, Chain, Rope, Snubber
from anchorsim.scenario.vessel import Boat
from anchorsim.scenario.weather import Weather

FILES = sorted(path.stem for path in folder("data").glob("*.csv"))
KEYS = {  # the columns that make a row the one that is meant
    "anchors": ("type",),
    "bottoms": ("bottom",),
    "chain": ("size", "grade"),
    "crossflow": ("beam over twice draught",),
    "drag": ("body",),
    "gust_factors": ("exposure",),
    "holding_law": ("class", "bottom"),
    "rope": ("construction", "size"),
    "rope_stretch": ("construction", "load"),
    "rope_use": ("construction",),
    "sizing_loads": ("length overall",),
    "uplift": ("angle",),
    "windage": ("vessel",),
}


def test_every_table_is_known_here() -> None:
    assert set(KEYS) <= set(FILES)


@pytest.mark.parametrize("name", FILES)
def test_every_row_says_where_it_comes_from(name: str) -> None:
    rows = table(name)
    assert rows
    assert all(row.source.strip() and row.kind in KINDS for row in rows)


@pytest.mark.parametrize("name", sorted(KEYS))
def test_what_is_published_names_its_publication(name: str) -> None:
    for row in table(name):
        assert len(row.source) > 10
        if row.kind == "published":
            assert any(character.isupper() for character in row.source), row.source


@pytest.mark.parametrize("name", sorted(KEYS))
def test_no_row_stands_twice(name: str) -> None:
    keys = [tuple(row[key] for key in KEYS[name]) for row in table(name)]
    assert len(set(keys)) == len(keys)


@pytest.mark.parametrize("name", sorted(KEYS))
def test_rows_of_a_table_hold_the_same_columns(name: str) -> None:
    """Only the pitch of US chain is left out, and a gust factor that its copies misprint."""
    columns = {frozenset(row) - {"pitch", "factor 3600 s"} for row in table(name)}
    assert len(columns) == 1


@pytest.mark.parametrize(
    "name", ["anchors", "bottoms", "chain", "rope", "rope_use", "windage", "holding_law"]
)
def test_no_figure_is_below_nought(name: str) -> None:
    assert all(value >= 0 for row in table(name) for value in row.values() if isinstance(value, float))


def test_what_is_recalled_is_not_called_published() -> None:
    kinds = {name: {row.kind for row in table(name)} for name in FILES}
    for name in ("anchors", "rope_stretch", "holding_law", "anchor_proof"):
        assert "published" not in kinds[name], name


# --- How a table is read ------------------------------------------------------------------------------------


@pytest.fixture
def write_table(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> object:
    """Puts a table of one's own where the package looks; its name is new, for tables are read once."""
    monkeypatch.setattr(tables, "folder", lambda name: tmp_path)

    def write(text: str) -> str:
        name = f"{tmp_path.name}-{len(list(tmp_path.iterdir()))}"
        (tmp_path / f"{name}.csv").write_text(text, encoding="utf-8")
        return name

    return write


def test_numbers_come_out_in_si(write_table) -> None:  # type: ignore[no-untyped-def]
    name = write_table(
        "what,length [ft],angle [degree],load [kN],share [percent],ratio [1],gone [m],source,kind\n"
        'post,10,180,1.5,15,2,,"A Book, table 1",published\n'
    )
    (row,) = table(name)
    assert dict(row) == pytest.approx(
        {
            "what": "post",
            "length": 3.048,
            "angle": 3.141592653589793,
            "load": 1500.0,
            "share": 0.15,
            "ratio": 2.0,
        }
    )
    assert (row.source, row.kind) == ("A Book, table 1", "published")
    assert "gone" not in row
    with pytest.raises(TypeError):
        row.cells["ratio"] = 3.0  # type: ignore[index]


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (
            "a,source,kind\n1,,published\n",
            "{row}; got '' and 'published'.",
        ),
        (
            "a,source,kind\n1,a book,hearsay\n",
            "{row}; got 'a book' and 'hearsay'.",
        ),
        (
            "a,source,kind\n1,a book,published,more\n",
            "{row}; got 'a book' and 'published'.",
        ),
        ("a\n1\n", "{row}; got None and None."),
        (
            "a [m],source,kind\n1,a book,published\nx,a book,published\n",
            "data/{name}.csv line 3: a [m]: not a number. Expected a finite number; got 'x'.",
        ),
        (
            "a [m],source,kind\nnan,a book,published\n",
            "data/{name}.csv line 2: a [m]: not a number. Expected a finite number; got 'nan'.",
        ),
        (
            "a [m] b,source,kind\n1,a book,published\n",
            "data/{name}.csv line 2: the column heading 'a [m] b' does not fit. Expected 'name' or "
            "'name [unit]'.",
        ),
    ],
)
def test_a_wrong_table_says_where_it_is_wrong(  # type: ignore[no-untyped-def]
    write_table, text: str, sentence: str
) -> None:
    name = write_table(text)
    with pytest.raises(ValueError) as caught:
        table(name)
    kinds = "published, common practice, no source, from memory, judgement"
    row = f"data/{name}.csv line 2: no source, or an unknown kind. Expected a source and one of {kinds}"
    assert str(caught.value) == sentence.format(name=name, row=row)


def test_folders_of_a_checkout_and_of_a_wheel(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert (folder("data") / "boats.toml").is_file()
    package = tmp_path / "anchorsim"
    package.mkdir()
    monkeypatch.setattr("anchorsim.core.resources.__file__", str(package / "core" / "resources.py"))
    with pytest.raises(FileNotFoundError, match=r"^the folder data is missing from this installation of"):
        folder("data")
    (tmp_path / "data").mkdir()
    assert folder("data") == tmp_path / "data"
    (package / "_files" / "data").mkdir(parents=True)
    assert folder("data") == package / "_files" / "data"


# --- Names --------------------------------------------------------------------------------------------------


def test_a_row_is_picked_by_its_names() -> None:
    assert pick("chain", size="8 mm", grade="40")["break"] == 40000.0
    with pytest.raises(LookupError) as caught:
        pick("bottoms", bottom="firm snad")
    assert caught.value.args[0] == (
        'bottom in data/bottoms.csv: "firm snad" is not known. Expected one of stiff clay, firm '
        "sand, sticky clay, soft mud, loose coarse sand, gravel, weed over sand, rock; did you "
        "mean firm sand?"
    )


@pytest.mark.parametrize(
    ("given", "known", "sentence"),
    [
        (
            "gravl",
            ["gravel", "rock"],
            '"gravl" is not known. Expected one of gravel, rock; did you mean gravel?',
        ),
        (
            "lava",
            ["gravel", "rock"],
            '"lava" is not known. Expected one of gravel, rock. Choose one of them.',
        ),
        (
            "40",
            ["30", "40"],
            '"40" is not known. Expected one of 30, 40. Write 40 without quotation marks.',
        ),
        (True, ["1", "2"], "true is not known. Expected one of 1, 2. Choose one of them."),
        (["a"], ["a", "b"], "a list is not known. Expected one of a, b. Choose one of them."),
    ],
)
def test_an_unknown_name_is_refused(given: object, known: list[str], sentence: str) -> None:
    assert unknown(given, known) == sentence


@settings(deadline=None)
@given(st.text(max_size=80))
def test_only_a_known_name_is_offered(given: str) -> None:
    known = ["firm sand", "soft mud", "Rock"]
    offered = nearest(given, known)
    assert offered == "" or offered.removeprefix("; did you mean ").removesuffix("?") in known


@pytest.mark.parametrize("name", ["firm sand", "FIRM SAND", "firmsand", "frim sand"])
def test_slips_of_the_pen_are_seen_through(name: str) -> None:
    assert nearest(name, ["soft mud", "firm sand", "rock"]) == "; did you mean firm sand?"


def test_a_name_of_any_length_is_dealt_with() -> None:
    assert nearest("x" * 10_000_000, ["firm sand"]) == ""


def _choices(thing: type[Thing]) -> list[Choice]:
    return [entry for entry in thing.declared().values() if isinstance(entry, Choice)]


def test_every_choice_names_a_column_of_a_table() -> None:
    things = (Boat, Spot, Weather, Anchor, Chain, Rope, Snubber)
    found = [choice for thing in things for choice in _choices(thing)]
    assert len(found) == 6
    for choice in found:
        assert choice.label
        assert choice.options
        assert all(choice.read(option) == option for option in choice.options)


def test_the_catalogue_cannot_be_written_to() -> None:
    with pytest.raises(TypeError):
        catalogue()["mine"] = {}  # type: ignore[index]
    with pytest.raises(TypeError):
        catalogue()["sloop-12"]["length"] = "1 m"  # type: ignore[index]
