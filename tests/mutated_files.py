"""Mutated files over every door: each is read or refused in a sentence, at once.

By hand: ``python tests/mutated_files.py --count 100000 --seed 1``.  It prints each failure with the file that
made it, and a table of what was tried, read, refused and failed for each door; a part is among the tests.
"""

from __future__ import annotations

import argparse
import logging
import random
import re
import sys
import time
import warnings
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from opened_files import DOORS, ENDINGS, good_files, house

from anchorsim.core.errors import AnchorsimError

SLOW = 1.0  # s of this process
LONG = 2_000  # characters of what is told
SHARES = {"scenario": 3, "survey": 3, "record": 3, "forecast": 2, "dangers": 3, "set": 2}  # of the others 1

# What programs and people get wrong, and what a hostile person would try.
PIECES = [
    b"\0", b"\r", b"\r\n", b"\n", b'"', b"'", b'""', b'"""', b"'''", b"\\", b"\\u0000", b"\\ud800", b"\\x",
    b"[", b"]", b"[[", b"]]", b"{", b"}", b"=", b",", b";", b":", b".", b"..", b"#", b"\t", b" ", b"\xff",
    b"\xfe\xff", b"\xff\xfe", b"\xef\xbb\xbf", b"\xed\xa0\x80", "°".encode(), "\u202e".encode(),
    "\u2028".encode(), b"\x1b[2J", b"null", b"true", b"nan", b"inf", b"-inf", b"NaN", b"Infinity", b"1e400",
    b"-1", b"0", b"9" * 30, b"9" * 400, b"9" * 5000, b"0x1", b"1_0", b"1e-400", b"1/0 m", b"1 m**9**9",
    b"-0.0", b"12:00", b"24:00", b"0001-01-01T00:00+14:00", b"9999-12-31T23:59", b"2031-02-30",
    b"2031-05-14T18:00Z", b"a" * 300, b"a." * 300, b"[" * 300, b"{" * 300, b'{"a":' * 300, b"_" * 3000,
    b"<b>x</b>", b"../../etc/passwd", b"/dev/zero", b"..", b"knot", b"degC", b"kN", b"[knot]", b"(", b")",
    b"type", b"coordinates", b"depth", b"record", b"kind", b"[]", b"{}", b'"type": []',
]  # fmt: skip
_TOKEN = re.compile(rb'"[^"\n]*"|[\w.+-]+|[^\w\s]', re.ASCII)


def mutated(source: bytes, chance: random.Random) -> bytes:
    """A file with one to four things wrong."""
    content = source
    for _ in range(chance.choice([1, 1, 1, 2, 2, 3, 4])):
        content = chance.choice(_WAYS)(content, chance)
    return content


def _byte(content: bytes, chance: random.Random) -> bytes:
    place = chance.randrange(len(content) + 1)
    return content[:place] + bytes([chance.randrange(256)]) + content[place + 1 :]


def _insert(content: bytes, chance: random.Random) -> bytes:
    place = chance.randrange(len(content) + 1)
    return content[:place] + chance.choice(PIECES) + content[place:]


def _token(content: bytes, chance: random.Random) -> bytes:
    """One token in place of another: a piece, or one from elsewhere in the file."""
    found = list(_TOKEN.finditer(content))
    if not found:
        return content + chance.choice(PIECES)
    old = chance.choice(found)
    new = chance.choice([chance.choice(PIECES), chance.choice(found)[0]])
    if old[0].startswith(b'"') and chance.random() < 0.5:
        new = b'"' + new.strip(b'"') + b'"'
    return content[: old.start()] + new + content[old.end() :]


def _cut(content: bytes, chance: random.Random) -> bytes:
    start = chance.randrange(len(content) + 1)
    return content[:start] + content[start + chance.choice([1, 3, 10, 100, len(content)]) :]


def _repeat(content: bytes, chance: random.Random) -> bytes:
    start = chance.randrange(len(content) + 1)
    piece = content[start : start + chance.choice([1, 3, 10, 50])]
    return content[:start] + piece * chance.choice([2, 3, 30, 300]) + content[start:]


def _lines(content: bytes, chance: random.Random) -> bytes:
    """Lines changed round, doubled or taken out."""
    lines = content.split(b"\n")
    one, other = (chance.randrange(len(lines)) for _ in range(2))
    if chance.random() < 0.4:
        lines[one], lines[other] = lines[other], lines[one]
    elif chance.random() < 0.5:
        lines.insert(other, lines[one])
    else:
        del lines[one]
    return b"\n".join(lines)


def _encoded(content: bytes, chance: random.Random) -> bytes:
    """Other encodings and line ends."""
    text = content.decode("utf-8", "replace")
    way = chance.choice(["utf-16", "utf-16-le", "utf-32", "utf-8-sig", "cr", "crlf"])
    if way in ("cr", "crlf"):
        return content.replace(b"\n", b"\r" if way == "cr" else b"\r\n")
    return text.encode(way, "replace")


_WAYS: list[Callable[[bytes, random.Random], bytes]] = [
    _byte, _insert, _insert, _token, _token, _token, _cut, _repeat, _lines, _encoded,
]  # fmt: skip


@dataclass(frozen=True)
class Failure:
    door: str
    what: str
    content: bytes


def campaign(count: int, seed: int, progress: bool = False) -> tuple[Counter[tuple[str, str]], list[Failure]]:
    """How many files were read, refused and failed for each door, and the failures."""
    chance, tally, failures = random.Random(seed), Counter[tuple[str, str]](), list[Failure]()
    doors = [door for door in DOORS for _ in range(SHARES.get(door, 1))]
    good = good_files()
    with house() as place:
        for number in range(count):
            door = doors[number % len(doors)]
            content = mutated(chance.choice(good[door]), chance)
            path = place / f"given{ENDINGS.get(door, '.csv')}"
            path.write_bytes(content)
            outcome = _tried(door, path)
            path.unlink()
            if outcome not in ("read", "refused"):
                failures.append(Failure(door, outcome, content))
                if progress:
                    print(f"{door}: {outcome}\n{content[:1500]!r}", file=sys.stderr, flush=True)
                outcome = "failed"
            tally[door, outcome] += 1
            if progress and number % 5000 == 4999:
                print(f"{number + 1} tried, {len(failures)} failed", file=sys.stderr, flush=True)
    return tally, failures


def _tried(door: str, path: Path) -> str:
    start = time.process_time()
    outcome, told = "read", ""
    try:
        DOORS[door](path)
    except AnchorsimError as error:
        outcome, told = "refused", str(error)
    except BaseException as error:  # whatever else it is, it is what is looked for
        if isinstance(error, KeyboardInterrupt):
            raise
        return f"{type(error).__name__}: {error}"[:200]
    taken = time.process_time() - start
    if taken > SLOW:
        return f"{outcome} in {taken:.1f} s"
    if len(told) > LONG or (outcome == "refused" and not told.strip()):
        return f"a sentence of {len(told)} characters"
    return outcome


def table(tally: Counter[tuple[str, str]]) -> Iterator[str]:
    """The lines of the table that is printed."""
    yield f"{'door':<12}{'tried':>8}{'read':>8}{'refused':>9}{'failed':>8}"
    for door in DOORS:
        found = [tally[door, outcome] for outcome in ("read", "refused", "failed")]
        yield f"{door:<12}{sum(found):>8}{found[0]:>8}{found[1]:>9}{found[2]:>8}"


def main() -> int:
    parser = argparse.ArgumentParser(description=str(__doc__).split("\n", maxsplit=1)[0])
    parser.add_argument("--count", type=int, default=2_000)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    warnings.simplefilter("ignore")  # of libraries, thousands of times
    logging.disable()
    tally, failures = campaign(options.count, options.seed, progress=True)
    print("\n".join(table(tally)))
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
