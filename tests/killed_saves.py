"""Saves that are killed and windows that save at once, by hand: what was lost, as a table.

``python tests/killed_saves.py --kills 500 --races 200``.  A process saves over and over, says after each
save which it was, and is killed at a random moment.  Nothing that it said was saved may be missing, and no
file may be half of one.
"""

from __future__ import annotations

import argparse
import functools
import itertools
import multiprocessing
import os
import random
import signal
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator
from multiprocessing.connection import Connection
from pathlib import Path
from unittest.mock import patch

from anchorsim import report
from anchorsim.core.writing import clear_leftovers
from anchorsim.explorer.survey.file import SurveyFile
from anchorsim.jupyter import copies
from anchorsim.report import write_report
from anchorsim.scenario.scenario import Scenario

FORK = multiprocessing.get_context("fork")  # the package is imported once, for hundreds of processes
STOCK = Scenario()
START = b"\xff\xd8\xff"
PHOTOGRAPH = 300_000  # bytes
Said = Callable[[object], None]


def _scenario(number: int) -> Scenario:
    return STOCK.vary({"title": f"number {number}", "survey.client": "x" * 200})


def _number(path: Path) -> int:
    return int(Scenario.load(path).title.removeprefix("number "))


def save_surveys(folder: Path, said: Said) -> None:
    file = SurveyFile(folder, folder / "boat.toml")
    for number in range(10**6):
        file.save(_scenario(number))
        said(number)


def save_scenarios(folder: Path, said: Said) -> None:
    for number in range(10**6):
        _scenario(number).save(folder / "boat.toml")
        said(number)


def lost_numbers(folder: Path, said: list[int]) -> Iterator[str]:
    """Whether one file holds the last that was said, or the one begun after it."""
    if [path.name for path in folder.glob("*.toml")] != ["boat.toml"]:
        yield "another file"
    elif _number(folder / "boat.toml") - (said[-1] if said else -1) not in (0, 1):
        yield "lost"


def save_photographs(folder: Path, said: Said) -> None:
    file = SurveyFile(folder)
    for number in range(10**6):
        said(file.keep_photograph(START + bytes([number % 256]) * PHOTOGRAPH, "bolt.jpg", "chain"))


def lost_photographs(folder: Path, said: list[str]) -> Iterator[str]:
    found = {path.name: path.read_bytes() for path in folder.glob("*.jpg")}
    if not set(said) <= set(found):
        yield "lost"
    if any(
        len(content) != len(START) + PHOTOGRAPH or len(set(content[3:])) != 1 for content in found.values()
    ):
        yield "half"
    if len(found) > len(said) + 1:
        yield "another file"


def save_copies(folder: Path, said: Said) -> None:
    """Two versions of what ships by turns, as if each start came after an update."""
    for number in range(10**6):
        _start(folder, number % 2)
        said(number)


def lost_copies(folder: Path, said: list[int]) -> Iterator[str]:
    versions = [
        {path.name: path.read_bytes() for path in folder.parent.glob(f"version-{turn}/*/*")}
        for turn in (0, 1)
    ]
    for path in folder.iterdir():
        if path.is_file() and path.read_bytes() not in [version.get(path.name) for version in versions]:
            yield "half" if path.name in versions[0] else "another file"
    for turn in (0, 1):  # and the next start knows all of them for its own
        if _start(folder, turn).left_alone:
            yield "taken for changed"


def _start(folder: Path, turn: int) -> copies.Copy:
    """What a start of one of the two versions puts into the folder."""
    with patch.object(copies, "folder", lambda name: folder.parent / f"version-{turn}" / name):
        return copies.assemble(folder, folder / ".anchorsim", "explorer.ipynb")


def save_reports(folder: Path, said: Said) -> None:
    """The same few reports by turns, made beforehand: to make one takes a second, to write it a moment."""
    pages = iter(itertools.cycle(_pages()))
    with patch.object(report, "content"), patch.object(report, "page", lambda *_: next(pages).decode()):
        for number in range(10**6):
            write_report(STOCK, folder / "report.html")
            said(number)


def lost_reports(folder: Path, said: list[int]) -> Iterator[str]:
    """Whether the file holds, to the last byte, the report that was said last, or the one begun after it."""
    written, pages = folder / "report.html", _pages()
    last = said[-1] if said else -1
    whole = [pages[(last + 1) % len(pages)], *([pages[last % len(pages)]] if said else [])]
    if not written.exists():
        yield from ["lost"] if said else []
    elif (content := written.read_bytes()) not in whole:
        yield "another" if content in pages else "half"


@functools.cache
def _pages() -> list[bytes]:
    return [report.page(report.content(_scenario(number), "metric")).encode() for number in range(3)]


def _begun_reports(folder: Path) -> None:
    _pages()  # before the first is killed
    _begun(folder)


def _begun(folder: Path) -> None:
    (folder / ".anchorsim").mkdir(parents=True)
    _scenario(-1).save(folder / "boat.toml")


def _versions(folder: Path) -> None:
    (folder / ".anchorsim").mkdir(parents=True)
    for turn in (0, 1):
        for name, pattern in (("notebooks", "*.ipynb"), ("shared", "*.toml")):
            (folder.parent / f"version-{turn}" / name).mkdir(parents=True, exist_ok=True)
            for source in copies.folder(name).glob(pattern):
                content = source.read_bytes()
                changed = content.replace(b'"source": [', b'"source": ["#\\n", ', 1) if turn else content
                (folder.parent / f"version-{turn}" / name / source.name).write_bytes(
                    changed if pattern == "*.ipynb" else content + b"# 1\n" * turn
                )


# What is saved: how its folder begins, who saves, what is lost, and the longest time to the kill, some saves.
KINDS = {
    "surveys": (_begun, save_surveys, lost_numbers, 0.1),
    "scenarios": (_begun, save_scenarios, lost_numbers, 0.1),
    "photographs": (_begun, save_photographs, lost_photographs, 0.1),
    "notebook copies": (_versions, save_copies, lost_copies, 0.5),
    "reports": (_begun_reports, save_reports, lost_reports, 0.1),
}


def killed(kind: str, kills: int, seed: int = 1) -> Counter[str]:
    """What became of processes killed as they saved: counts of ``killed``, ``while writing`` and losses."""
    begin, save, lost, longest = KINDS[kind]
    drawn, counts = random.Random(f"{kind} {seed}"), Counter({"killed": 0, "while writing": 0})
    for _ in range(kills):
        with tempfile.TemporaryDirectory() as place:
            folder = Path(place, "boat")
            begin(folder)
            said = _kill(save, folder, drawn.uniform(0.0, longest))
            left = [path for path in folder.rglob(".anchorsim-*.tmp")]
            counts.update({"killed": 1, "while writing": bool(left)})
            for each in {folder, *(path.parent for path in left)}:
                clear_leftovers(each)
            counts.update(["left behind"] * bool([*folder.rglob(".anchorsim-*.tmp")]))
            try:
                counts.update(set(lost(folder, said)))
            except Exception as error:
                counts[f"half: {type(error).__name__}"] += 1
    return counts


def _kill(save: Callable[[Path, Said], None], folder: Path, after: float) -> list:
    """Kill a process so long (s) after it begins to save; what it said was saved."""
    here, there = FORK.Pipe(duplex=False)

    def run() -> None:
        there.send("ready")
        save(folder, there.send)

    process = FORK.Process(target=run)
    process.start()
    there.close()
    said = [here.recv()]
    time.sleep(after)
    os.kill(process.pid, signal.SIGKILL)
    process.join()
    while (word := _heard(here)) is not None:
        said.append(word)
    return said[1:]


def _heard(pipe: Connection) -> object:
    try:
        return pipe.recv()
    except (EOFError, OSError):  # half a word is of a save that was not told
        return None


def raced(races: int, windows: int, begun: bool) -> Counter[str]:
    """How often what a window saved is in no file, or not told; ``begun``: all had opened one survey."""
    with tempfile.TemporaryDirectory() as place:
        barrier, told = FORK.Barrier(windows), FORK.SimpleQueue()
        folders = [Path(place, str(number)) for number in range(races)]
        for folder in folders:
            folder.mkdir()
            if begun:
                STOCK.vary({"survey.client": "all"}).save(folder / "my-survey.toml")

        def window(name: str) -> None:
            for folder in folders:
                file = SurveyFile(folder, folder / "my-survey.toml" if begun else None)
                mine = STOCK.vary({"survey.client": name})
                barrier.wait()
                told.put((folder.name, name, file.save(mine), file.path.name))

        processes = [FORK.Process(target=window, args=(f"window {number}",)) for number in range(windows)]
        for process in processes:
            process.start()
        words = [told.get() for _ in range(races * windows)]
        for process in processes:
            process.join()
        counts = Counter({"races": races, "lost": 0, "untold": 0})
        for folder, name, said, file in words:
            found = Path(place, folder, file)
            counts["lost"] += not (found.exists() and Scenario.load(found).survey.client == name)
            counts["untold"] += file not in said or (file != "my-survey.toml" and "was kept" not in said)
        return counts


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--kills", type=int, default=500)
    parser.add_argument("--races", type=int, default=200)
    options = parser.parse_args()
    for kind in KINDS:
        print(f"{kind:<34}", dict(killed(kind, options.kills // len(KINDS))), flush=True)
    for windows in (2, 3):
        for begun in (False, True):
            what = f"{windows} windows, {'one survey' if begun else 'new surveys'}"
            print(f"{what:<34}", dict(raced(options.races, windows, begun)), flush=True)


if __name__ == "__main__":
    main()
