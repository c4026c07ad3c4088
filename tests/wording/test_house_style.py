"""The house style of what people read, as far as a machine can tell; and who may know the unit system.

The lists of words are our own.  A text that breaks a rule is to be put better, not to be excepted here.
"""

from __future__ import annotations

import ast
import csv
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import anchorsim
from anchorsim.core.resources import folder
from anchorsim.core.tables import table
from anchorsim.strength.compatibility import URGENCIES

PACKAGE = Path(anchorsim.__file__).parent
SPOKEN = ("wording", "strength", "survey", "report", "explorer/survey")  # rooms whose strings people may read
WAITING = ("scenario",)  # rooms that still say their own sentences
MAY_KNOW_UNITS = ("core", "wording", "figures", "report", "explorer", "cli")
UNIT_SYSTEM = {"System", "SYSTEMS", "show", "unit_in", "us_unit"}
READ = ("title", "what", "check", "remedy", "behaviour", "measure", "label", "meaning", "source")  # columns
TABLES = (
    "backings", "bitter_ends", "chain_holders", "fastenings", "findings", "joining_links", "knots", "leads",
    "parts", "regalvanised", "rope_joins", "rope_wear", "scopes", "snubber_ends", "strong_points",
    "swivel_use", "upkeep", "windlasses", "zinc_loss",
)  # fmt: skip

BANNED = {
    "a part is not fit for use": r"condemn|out of use",
    "gear is used, anchored on or ridden to": r"\b(lie|lies|lay|lain|lying) to\b|\blies round\b",
    "a load rises, a result is": r"\bcom(e|es|ing) (on|upon)\b|\bcomes to\b",
    "things are said": r"\btold of\b",
    "a part is repaired or replaced": r"\bput right\b|\bmend(s|ed)?\b|\bafresh\b|\banew\b|\ba works\b",
    "a part is rated for a load": r"\bstands\b|\bwould stand\b|\bstands? (about|up|what)\b",
    "a part is overloaded": r"\bworks? (too )?hard|\bstrained\b|\bused (hardest|above|past|to \d)",
    "a load is over a limit": r"\bpass(es)? (a|its|the|the wear) (working|limit|wear)|\bnine of ten pass",
    "gear saves from chafe, takes load off": r"\bspares\b",
    "a job has a benefit": r"\bbuys\b",
    "gear needs something": r"\b(she|it|rode|chain|anchor) wants\b",
    "a spell is simulated": r"\btried\b|\b(one|each|every|all|the|of|\d|\{\}) watch(es)?\b",
    "a storm is weather": r"\bstorms?\b(?! jib)",
    "a figure is a median, a peak, the highest": r"\bmiddl(e|ing)\b|\bhardest\b|\bgreatest\b|\bnought\b",
    "how often is a count": r"\bsurely\b|\bat the (least|most)\b",
    "something is not a date": r"\bwas given\b|\bis no (date|list|position|seed|photograph|kind)\b",
    "a heading names its section": r"\bwhat (was found|it is)\b|\bin (short|words)\b|\banecdote\b",
    "nothing is promised": r"\bsafe(ly)?\b|\bsound\b|\b(is|are|be) secure\b|\bis enough\b|\bcritical\b",
    "a tackle is blocks and rope": r"(?<!ground )(?<!block and )\btackles?\b(?!\.)",
    "a part is inspected": r"\blook(ed)? at (it|this|every)\b|\bnobody can see\b|\bcannot be seen\b",
    "figures are calculated": r"\bcomput(ed|ation)\b|\bwork(ed|ing) out\b",
    "forces are loads": r"\b(hardest|greatest|sideways|the|a) pulls?\b|\bpulled (upwards|sideways)\b",
    "load limits are WLL": r"\bworking loads?\b(?! limit)|\brated loads?\b",
    "gear is attached and made fast to": r"\bbent on\b|\bled to\b",
    "the boat goes aground, hits": r"\btakes? the ground\b|\bcomes upon\b",
    "chain is regalvanised": r"\bgalvanis\w* again\b|\bdipped again\b",
    "later is when convenient": r"\bat leisure\b",
    "a chance is a whole number": r"%[^.]*\b(chance|of (all )?(the )?spells)\b|\bchance of[^.]*%",
}
KEPT = {  # keys of files and tables, which people do not read, and printed terms of standards
    *URGENCIES,
    *(str(row["finding"]) for row in table("findings")),
    "greatest wear",
    "working load",
    "share of the working load left to screw-pin and bolt shackles under a side load, 70 % at 45 degrees and "
    "50 % at 90 degrees, read in several riggers' charts",
}
LONGEST = 20  # words from one stop to the next


def strings(path: Path) -> Iterator[str]:
    """The string constants of a module that are more than a key, and no docstrings."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    silent = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            silent |= {id(part) for part in node.values}
            yield "".join(part.value if isinstance(part, ast.Constant) else "{}" for part in node.values)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in silent:
            yield node.value


def modules(room: str) -> list[Path]:
    return sorted([*(PACKAGE / room).rglob("*.py"), *PACKAGE.glob(f"{room}.py")])


def page_texts() -> list[str]:
    """The pieces of text in the template of the report, without tags and expressions."""
    page = (PACKAGE / "report" / "page.html").read_text(encoding="utf-8")
    captions = re.findall(r'pairs\([^)]*"([^"]+)"\)', page)
    plain = re.sub(r"\{%.*?%\}|\{\{.*?\}\}", " ", re.sub(r"</?em>", "", page), flags=re.S)
    pieces = re.split(r"<[^>]+>", re.sub(r"<style>.*?</style>", "", plain, flags=re.S))
    return [*captions, *(" ".join(piece.split()) for piece in pieces if piece.strip())]


def spoken() -> dict[str, list[str]]:
    """What people can read, by where it stands."""
    found = {
        str(path.relative_to(PACKAGE)): [text for text in strings(path) if " " in text.strip()]
        for room in SPOKEN
        for path in modules(room)
    }
    for name in TABLES:
        with (folder("data") / f"{name}.csv").open(encoding="utf-8") as file:
            rows = list(csv.DictReader(file))
        found[f"data/{name}.csv"] = [row[column] for row in rows for column in READ if row.get(column)]
    found["report/page.html"] = page_texts()
    return found


TEXTS = [
    (where, text) for where, texts in spoken().items() for text in dict.fromkeys(texts) if text not in KEPT
]


def broken(text: str) -> list[str]:
    """The rules that a text breaks."""
    return [rule for rule, pattern in BANNED.items() if re.search(pattern, text, re.IGNORECASE)]


def test_the_texts_are_there() -> None:
    assert len(TEXTS) > 700
    assert {where for where, _ in TEXTS} >= {"wording/cautions.py", "data/findings.csv", "report/page.html"}


def test_no_text_has_a_banned_word() -> None:
    assert [(where, text, rules) for where, text in TEXTS if (rules := broken(text))] == []


@pytest.mark.parametrize(
    "text",
    [
        "Do not lie to it until that is put right.",
        "The greatest pull in the middling watch",
        "in 3 of 8 watches tried",
        "It stands about 30 kN",
        "Nothing aboard makes this safe",
        "Check the tackle",
        "at the least 5 m",
        "a chance of 2 % a night",
        "drags in 26 % of spells",
    ],
)
def test_a_banned_word_would_be_found(text: str) -> None:
    assert broken(text)


@pytest.mark.parametrize(
    "text",
    [
        "lift it with help or a block and tackle",
        "Secure it with a lashing",
        "Keep an anchor watch.",
        "stand clear of the chain",
        "drags in 2 of 100 spells",
        "load 120 % of WLL",
        "The anchor lies flat on the bottom",
    ],
)
def test_what_is_allowed_is_not_refused(text: str) -> None:
    assert broken(text) == []


def test_one_idea_a_sentence() -> None:
    """From one stop to the next no more than 20 words; sources are quoted as they are."""
    rooms = ("wording/", "report/page.html")
    said = [text for where, text in TEXTS if where.startswith(rooms)]
    with (folder("data") / "findings.csv").open(encoding="utf-8") as file:
        said += [
            row[name]
            for row in csv.DictReader(file)
            for name in ("title", "what", "check", "remedy", "behaviour")
        ]
    pieces = [piece for text in said for piece in re.split(r"[.:;]\s", text)]
    assert [piece for piece in pieces if len(piece.split()) > LONGEST] == []


# --- Who may know the unit system ---------------------------------------------------------------------------


def knows_units(path: Path) -> bool:
    """Whether a module imports the unit system or what shows an amount in it."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if not isinstance(node, ast.ImportFrom):
            continue
        names = {alias.name for alias in node.names}
        if node.module == "anchorsim.core.units" and names & UNIT_SYSTEM:
            return True
        if node.module == "anchorsim.core" and "units" in names:
            return True
    return False


def rooms_that_know_units() -> set[str]:
    paths = [path for path in PACKAGE.rglob("*.py") if knows_units(path)]
    return {path.relative_to(PACKAGE).parts[0].removesuffix(".py") for path in paths}


def test_only_wording_and_the_faces_know_the_unit_system() -> None:
    assert rooms_that_know_units() <= {*MAY_KNOW_UNITS, *WAITING}
    assert not rooms_that_know_units() & {"strength", "survey"}


def test_a_room_that_waits_no_more_is_taken_off_the_list() -> None:
    assert set(WAITING) <= rooms_that_know_units()


def test_no_result_beneath_wording_tells_its_own_sentence() -> None:
    """A result of strength and survey has no method or field that is a sentence."""
    for room in ("strength", "survey"):
        for path in modules(room):
            tree = ast.parse(path.read_text(encoding="utf-8"))
            functions = {node.name for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)}
            fields = {node.target.id for node in ast.walk(tree)
                      if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name)}  # fmt: skip
            assert not (functions | fields) & {"sentence", "told", "words", "text"}, path
