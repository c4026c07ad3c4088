"""Files that are no files, hold too much, or are no text: refused at once, in a sentence, in little memory.

Each case is given to its door in a process of its own, which may take 200 MB more than the package itself and
some seconds of the processor's time: what takes more is ended by the system.
"""

from __future__ import annotations

import json
import os
import resource
import signal
import socket
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from mutated_files import campaign
from opened_files import DOORS, ENDINGS, RECORD, good_files, house
from PIL import Image

from anchorsim.cli import main
from anchorsim.core.errors import AnchorsimError
from anchorsim.core.picture_size import pixels
from anchorsim.core.reading import GEOJSON, TABLE, TOML, check_values, read_text
from anchorsim.jupyter.copies import assemble
from anchorsim.scenario.scenario import Scenario, ScenarioError

MEMORY = 200_000_000  # bytes beyond what the package takes
SECONDS = 3  # of the processor: a second as asked for, on a machine that others use too
LONGEST = 2_000
HEADING = b"time [s],mean [m/s],dir\n"


def outcome(door: str, path: Path) -> str:
    """What a door says of a file, by a copy of this process that may take so much time and memory."""
    held, reads, writes = _held(), *os.pipe()
    child = os.fork()
    if child == 0:
        try:
            resource.setrlimit(resource.RLIMIT_AS, (held + MEMORY, held + MEMORY))
            spent = int(sum(os.times()[:2]))
            resource.setrlimit(resource.RLIMIT_CPU, (spent + SECONDS + 1, spent + SECONDS + 1))
            os.write(writes, _said(door, path).encode("utf-8", "backslashreplace")[:60_000])
        finally:
            os._exit(0)
    os.close(writes)
    with open(reads, encoding="utf-8") as file:
        said = file.read()
    _, status = os.waitpid(child, 0)
    assert os.WIFEXITED(status), f"ended by {signal.Signals(os.WTERMSIG(status)).name}"
    return said


def _held() -> int:
    pages = Path("/proc/self/statm").read_text(encoding="ascii").split()[0]
    return int(pages) * os.sysconf("SC_PAGE_SIZE")


def _said(door: str, path: Path) -> str:
    try:
        DOORS[door](path)
    except AnchorsimError as error:
        return f"refused: {error}"
    except BaseException as error:
        return f"fault: {type(error).__name__} {error}"
    return "read"


def refused(door: str, path: Path) -> str:
    said = outcome(door, path)
    assert said.startswith("refused: "), said[:500]
    assert len(said) < LONGEST, len(said)
    assert "Traceback" not in said and "Error" not in said
    return said.removeprefix("refused: ")


def positions(count: int) -> str:
    return ",".join(['{bearing = "40 degree", distance = "60 m"}'] * count)


TOO_MUCH: dict[str, tuple[str, Callable[[], bytes], str]] = {
    "50 MB of CSV": ("record", lambda: HEADING + b"1,2,3\n" * 8_500_000, "too large"),
    "19 MB of short rows": ("record", lambda: HEADING + b"1,2,3\n" * 3_100_000, "too many rows"),
    "19 MB of line ends": ("record", lambda: b"\n" * 19_000_000, "too many rows"),
    "one line of 19 MB": ("record", lambda: b"a," * 9_500_000, "the line is too long"),
    "headings of underscores": ("record", lambda: b"wind " + b"_" * 4_900 + b",t\n1,2\n", "there is no unit"),
    "headings past all length": ("record", lambda: b"_" * 200_000 + b",t\n1,2\n", "the line is too long"),
    "columns": ("record", lambda: b"a," * 2_400 + b"b\n", "too many columns"),
    "one long cell": ("record", lambda: HEADING + b"1," + b"9" * 4_900 + b",3\n", "is not a number"),
    "a forecast of a year": ("forecast", lambda: HEADING + b"1,2,3\n" * 8_800, "too many rows"),
    "a tide of a century": ("tide", lambda: b"12:00 1 m\n18:00 2 m\n" * 40_000, "the table is too long"),
    "3.5 million keys": (
        "scenario", lambda: b"".join(b"k%d=1\n" % i for i in range(400_000)), "too many lines",
    ),
    "all keys that may be": (
        "scenario", lambda: b"".join(b"k%d=1\n" % i for i in range(59_000)), "unknown key",
    ),
    "300,000 findings": (
        "scenario", lambda: b'[[survey.findings]]\nkind = "x"\n' * 150_000, "too many lines",
    ),
    "501 findings": (
        "scenario",
        lambda: b"format = 1\n" + b'[[survey.findings]]\nkind = "gypsy worn"\n' * 501,
        "survey.find",
    ),
    "2,000 dotted keys": (
        "scenario",
        lambda: b"".join(b"%s = 1\n" % b".".join(b"k%d" % (i + j) for j in range(2_000)) for i in range(400)),
        "a key has too many parts",
    ),
    "20,000 dotted parts": (
        "scenario", lambda: b".".join([b"a"] * 20_000) + b" = 1", "a key has too many parts",
    ),
    "a dotted heading": (
        "scenario", lambda: b"[" + b".".join([b"a"] * 20_000) + b"]", "a key has too many parts",
    ),
    "dots in a table": (
        "scenario", lambda: b"a = {" + b".".join([b"a"] * 20_000) + b" = 1}", "too many parts",
    ),
    "brackets": ("scenario", lambda: b"a = " + b"[" * 400_000, "too many levels"),
    "tables in tables": ("scenario", lambda: b"a = " + b"{a=" * 100_000, "too many levels"),
    "9 MB of a comment": ("scenario", lambda: b"#" + b"x" * 9_000_000, "too large"),
    "keys on a line": ("scenario", lambda: b"a = {" + b"b = 1," * 900_000, "too many keys"),
    "empty lines": ("scenario", lambda: b"\n" * 5_900_000, "too many lines"),
    "a text of line ends": ("scenario", lambda: b'title = "' + b"\\n" * 2_900_000 + b'"', "too long"),
    "a line that does not end": ("scenario", lambda: b"a =" + b" " * 2_000_000 + b"b c'", "line 1"),
    "a key of a megabyte": ("scenario", lambda: b"a" * 5_900_000 + b" = 1", "is too long"),
    "a text of megabytes": ("scenario", lambda: b'title = "' + b"x" * 5_900_000 + b'"', "too long"),
    "a number of a megabyte": ("scenario", lambda: b"format = " + b"7" * 5_900_000, "is too long"),
    "positions": (
        "scenario",
        lambda: f'[[surroundings.dangers]]\nshape = "line"\nat = [{positions(1_900)}]\n'.encode() * 6,
        "too many positions",
    ),
    "notes": (
        "scenario",
        lambda: b'[[survey.findings]]\nkind = "bolt in the chain"\nnote = "%s"\n' % (b"x" * 9_000) * 120,
        "too many characters in all notes",
    ),
    "a chart in megabytes": ("dangers", lambda: b'{"a": [' + b"[]," * 3_000_000 + b"[]]}", "too large"),
    "lists in a chart": ("dangers", lambda: b'{"a": [' + b"[]," * 2_000_000 + b"[]]}", "too many keys"),
    "levels in a chart": ("dangers", lambda: b'{"type":' * 100_000, "too many levels"),
    "collections in collections": (
        "dangers",
        lambda: b'{"type":"GeometryCollection","geometries":[' * 11 + b"{}" + b"]}" * 11,
        "type: nothing is not known",
    ),
    "a line on a chart": (
        "dangers",
        lambda: b'{"type":"LineString","coordinates":[' + b"[1,2]," * 90_000 + b"[1,2]]}",
        "positions",
    ),
    "points on a chart": (
        "dangers",
        lambda: b'{"type":"MultiPoint","coordinates":[' + b"[1,2]," * 90_000 + b"[1,2]]}",
        "too many positions",
    ),
    "a name on a chart": (
        "dangers",
        lambda: json.dumps(
            {"type": "Feature", "properties": {"name": "x" * 4_000_000}, "geometry": {"type": "Point"}}
        ).encode(),
        "is not a position",
    ),
    "type on a chart": ("dangers", lambda: b'{"type": "%s"}' % (b"x" * 4_000_000), "is not known"),
    "--set": ("set", lambda: b".".join([b"a"] * 20_000) + b"=1", "unknown path"),
    "--set of a table": ("set", lambda: b"title={" + b".".join([b"a"] * 20_000) + b"=1}", "is too long"),
    "--set of a number": ("set", lambda: b'tackle.scope="' + b"9" * 5_000 + b'"', "is not a number"),
    "--set without an end": ("set", lambda: b"x" * 100_000, "incomplete"),
}  # fmt: skip


@pytest.mark.parametrize("name", TOO_MUCH)
def test_too_much_is_refused_at_once(name: str, tmp_path: Path) -> None:
    door, make, said = TOO_MUCH[name]
    path = tmp_path / f"given{ENDINGS.get(door, '.csv')}"
    path.write_bytes(make())
    assert said in refused(door, path)


@pytest.fixture
def odd(tmp_path: Path) -> dict[str, Path]:
    """What lies in a folder and is no file to read, each also behind a link."""
    os.mkfifo(tmp_path / "pipe")
    with socket.socket(socket.AF_UNIX) as listening:
        listening.bind(str(tmp_path / "socket"))
    (tmp_path / "folder").mkdir()
    (tmp_path / "round").symlink_to(tmp_path / "about")
    (tmp_path / "about").symlink_to(tmp_path / "round")
    (tmp_path / "dangling").symlink_to(tmp_path / "gone")
    (tmp_path / "huge").touch()
    os.truncate(tmp_path / "huge", 10_000_000_000_000)
    found = {path.name: path for path in list(tmp_path.iterdir())}
    found |= {name: Path(f"/dev/{name}") for name in ("zero", "full", "stdin", "tty")}
    links = {}
    for name, path in found.items():
        links[f"link to {name}"] = tmp_path / f"to-{name}"
        (tmp_path / f"to-{name}").symlink_to(path)
    return found | links | {"status": Path("/proc/self/mem")}


@pytest.mark.parametrize("door", ["scenario", "survey", "record", "forecast", "dangers"])
def test_what_is_no_plain_file_is_refused_before_it_is_read(door: str, odd: dict[str, Path]) -> None:
    for name, path in odd.items():
        said = refused(door, path)
        assert "could not be read" in said or "too large" in said, f"{name}: {said}"


@pytest.mark.parametrize("path", ["a\0b", "\ud800", "x" * 300, "x/" * 3_000, "\udcff.csv"])
@pytest.mark.parametrize("door", ["scenario", "record", "forecast", "dangers"])
def test_what_is_no_path_is_refused(door: str, path: str) -> None:
    assert len(refused(door, Path(path))) < 500


@pytest.mark.parametrize(
    ("door", "content", "said"),
    [
        ("record", b'""', "it holds no text"),
        ("record", b'"', "this is not CSV"),
        ("record", b"a,b\r\x00", "this is not text"),
        ("forecast", b'""\n""\n', "it holds no text"),
        ("dangers", b'{"type": []}', "type: a list is not known"),
        ("dangers", b'{"type": "Feature", "geometry": {"type": []}}', "type: a list is not known"),
        (
            "dangers",
            b'{"type":"Feature","properties":{"depth":1%s},"geometry":{"type":"Point","coordinates":[1,2]}}'
            % (b"0" * 150),
            "a number far too large",
        ),
        ("dangers", b'{"type":"Feature","properties":{"depth":1%s}}' % (b"0" * 400), "is too long"),
        ("dangers", b"[" + b"9" * 5_000 + b"]", "is too long"),
        ("dangers", b'{"type": "\\ud800"}', "is not known"),
        ("dangers", b"\xff\xfe[", "not text in UTF-8"),
        ("scenario", b'title = "a\x00b"', "line 1"),
        ("scenario", b'title = "\\ud800"', "line 1"),
        ("scenario", b'format = 1\n[weather]\nrecord = "a\\u0000b"', ""),
    ],
)
def test_each_refusal_is_in_our_own_words(door: str, content: bytes, said: str, tmp_path: Path) -> None:
    path = tmp_path / "given.toml"
    path.write_bytes(content)
    if said:
        assert said in refused(door, path)
    else:
        assert "outside the folder" in refused("recorded", path)


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_encodings_and_line_ends_of_other_systems_are_read(end: str, encoding: str, tmp_path: Path) -> None:
    for door, files in good_files().items():
        if door not in ("scenario", "record", "forecast", "dangers"):
            continue
        path = tmp_path / f"{door}.txt"
        path.write_bytes(files[0].decode().replace("\n", end).encode(encoding))
        plain = tmp_path / f"{door}-plain.txt"
        plain.write_bytes(files[0])
        assert repr(DOORS[door](path)) == repr(DOORS[door](plain))


def test_saving_onto_links_that_lead_round_is_refused(tmp_path: Path) -> None:
    (tmp_path / "round.toml").symlink_to(tmp_path / "about.toml")
    (tmp_path / "about.toml").symlink_to(tmp_path / "round.toml")
    refused = {"round.toml": "could not be written", "a\0.toml": "not a name that a file can have"}
    for name, wrong in refused.items():
        with pytest.raises(ScenarioError, match=wrong):
            Scenario().save(tmp_path / name)


# --- What people have still fits ----------------------------------------------------------------------------


def test_two_days_of_wind_each_second_are_read(tmp_path: Path) -> None:
    rows = (f"{second},{8 + second % 5},{second % 360}\n".encode() for second in range(172_800))
    (tmp_path / "days.csv").write_bytes(HEADING + b"".join(rows))
    assert len(DOORS["record"](tmp_path / "days.csv").time) == 172_800


def test_a_survey_of_300_findings_with_notes_is_read_and_saved(tmp_path: Path) -> None:
    finding = {"kind": "shackle pin not moused", "part": "anchor shackle", "note": "Ü, " * 1_000}
    varied = Scenario().vary({"survey.findings": [finding] * 300})
    varied.save(tmp_path / "long.toml")
    assert Scenario.load(tmp_path / "long.toml") == varied


def test_whatever_may_be_surveyed_and_charted_is_read_again(tmp_path: Path) -> None:
    """The limits of what a file holds are above those of what a scenario holds."""
    finding = {"kind": "shackle pin not moused", "part": "anchor shackle", "note": "\U0001f6a2" * 1_900}
    near = {"bearing": "40 degree", "distance": "60 m"}
    dangers = [{"shape": "line", "at": [near] * 50}] * 200
    neighbour = {"at": near, "boat": {"model": "sloop-12"}}
    varied = Scenario().vary(
        {
            "survey.findings": [{**finding, "photographs": [f"{'p' * 480}.jpg"]}] * 500,
            "surroundings.dangers": dangers,
            "surroundings.neighbours": [neighbour] * 200,
        }
    )
    varied.save(tmp_path / "most.toml")
    assert Scenario.load(tmp_path / "most.toml") == varied


@pytest.mark.parametrize(("kind", "size"), [("jpeg", (8_700, 5_800)), ("png", (6_000, 4_200))])
def test_photographs_of_today_are_shown(kind: str, size: tuple[int, int], tmp_path: Path) -> None:
    """50 megapixels of a telephone; PNG as of a good screen and more."""
    path = tmp_path / f"large.{kind}"
    Image.radial_gradient("L").convert("RGB").resize(size).save(path)
    assert outcome("photograph", path) == "read"
    assert pixels(path.read_bytes()) == size[0] * size[1]


@pytest.mark.parametrize(("kind", "how"), [("png", {}), ("jpeg", {"progressive": True}), ("tiff", {})])
def test_a_small_file_that_unpacks_to_a_gigabyte_is_not_shown(
    kind: str, how: dict[str, Any], tmp_path: Path
) -> None:
    path = tmp_path / f"bomb.{kind}"
    Image.new("1" if kind in ("png", "tiff") else "L", (12_000, 10_000)).save(path, **how)
    assert refused("photograph", path) == "not shown: too many pixels"
    if kind in ("png", "jpeg"):
        assert pixels(path.read_bytes()) == 120_000_000


@pytest.mark.parametrize(("kind", "mode"), [("webp", "RGB"), ("png", "RGBA"), ("png", "LA")])
def test_a_picture_that_is_copied_as_it_is_unpacked_may_have_fewer_pixels(
    kind: str, mode: str, tmp_path: Path
) -> None:
    for name, size in (("telephone", (4032, 3024)), ("more", (4032, 3030))):
        Image.new(mode, size).save(tmp_path / f"{name}.{kind}")
    assert outcome("photograph", tmp_path / f"telephone.{kind}") == "read"
    assert refused("photograph", tmp_path / f"more.{kind}") == "not shown: too many pixels"


def test_a_picture_that_hides_its_size_has_no_end_of_pixels() -> None:
    assert pixels(b"\xff\xd8" + b"\xff" * 5_000) > 10**15
    assert pixels(b"\xff\xd8\xff\xe0\x00\x04ab") == 0


def test_brackets_in_texts_and_comments_are_no_levels() -> None:
    for text in (
        'a = "' + "[" * 50 + '"',
        "a = '" + "{" * 50 + "'",
        "# " + "[" * 50,
        'a = """' + "[\n" * 50 + '"""',
    ):
        check_values(text, TOML)
    check_values('"' + "a.b." * 50 + '" = 1', TOML)
    check_values('{"a": "' + "[" * 100 + '"}', GEOJSON)
    with pytest.raises(AnchorsimError, match="too many levels"):
        check_values('a = "\\"" \n b = ' + "[" * 13, TOML)


def test_the_command_line_tells_names_that_are_no_text(tmp_path: Path) -> None:
    """A name of bytes that are not UTF-8, on a terminal that takes nothing else."""
    path = os.fsencode(tmp_path) + b"/\xff.toml"
    Scenario().save(os.fsdecode(path))
    done = subprocess.run(
        [os.fsencode(sys.executable), b"-m", b"anchorsim", b"check", path],
        capture_output=True, check=False, env={**os.environ, "PYTHONIOENCODING": "utf-8:strict"},
    )  # fmt: skip
    assert done.returncode == 0 and b"no errors found" in done.stdout, done.stderr


def test_check_looks_into_the_wind_record_too(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "night.toml").write_text('format = 1\n[weather]\nrecord = "wind.csv"\n')
    assert main(["check", str(tmp_path / "night.toml")]) == 2
    assert "wind.csv: could not be read" in capsys.readouterr().err
    (tmp_path / "wind.csv").write_text(RECORD)
    assert main(["check", str(tmp_path / "night.toml")]) == 0


def test_what_lies_in_the_place_of_a_notebook_holds_up_no_start(tmp_path: Path) -> None:
    (tmp_path / "state").mkdir()
    os.mkfifo(tmp_path / "explorer.ipynb")
    (tmp_path / "survey.ipynb").write_text("[" * 100_000)
    found = assemble(tmp_path, tmp_path / "state", "explorer.ipynb")
    assert found.notebook.name == "explorer-2.ipynb"
    assert (tmp_path / "survey.ipynb").read_text() == "[" * 100_000


def test_a_file_that_grows_while_it_is_read_has_an_end() -> None:
    """Files of the system tell a size of 0 and hold more."""
    assert "Name:" in read_text(Path("/proc/self/status"), TABLE)


# --- Mutated files ------------------------------------------------------------------------------------------


def test_the_files_that_are_mutated_are_good_ones() -> None:
    with house() as place:
        for door, files in good_files().items():
            for content in files:
                path = place / f"given{ENDINGS.get(door, '.csv')}"
                path.write_bytes(content)
                DOORS[door](path)
                path.unlink()


def test_mutated_files_are_read_or_refused_in_a_sentence() -> None:
    tally, failures = campaign(1_500, seed=20260)
    assert failures == []
    assert all(tally[door, "refused"] > 20 for door in DOORS)
