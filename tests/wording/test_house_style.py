"""The house style of what people read, as far as a machine can tell; and who may know the unit system.

The lists of words are our own.  A text that breaks a rule is to be put better, not to be excepted here.
"""

from __future__ import annotations

import ast
import csv
import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import anchorsim
from anchorsim.core.resources import folder
from anchorsim.core.tables import table
from anchorsim.explorer.controls import groups
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.compatibility import URGENCIES

PACKAGE = Path(anchorsim.__file__).parent
ROOT = Path(__file__).parents[2]
SPOKEN = (  # rooms whose strings people may read; errors about arguments of functions are not among them
    "wording", "strength", "survey", "report", "explorer", "classroom", "figures", "cli", "jupyter", "scenario", "environment", "core",
)  # fmt: skip
MAY_KNOW_UNITS = ("core", "wording", "figures", "report", "explorer", "classroom", "cli")
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
    "shackle pulled sideways",
    "share of the working load left to screw-pin and bolt shackles under a side load, 70 % at 45 degrees and "
    "50 % at 90 degrees, read in several riggers' charts",
}
LONGEST = 20  # words from one stop to the next


def strings(path: Path) -> Iterator[str]:
    """The string constants of a module, and no docstrings, of attributes neither."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    silent = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            silent |= {id(part) for part in node.values}
            yield "".join(part.value if isinstance(part, ast.Constant) else "{}" for part in node.values)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in silent:
            yield node.value


def modules(room: str) -> list[Path]:
    return sorted([*(PACKAGE / room).rglob("*.py"), *PACKAGE.glob(f"{room}.py")])


def page_texts(template: Path) -> list[str]:
    """The pieces of text in a template, without tags and expressions."""
    page = template.read_text(encoding="utf-8")
    captions = re.findall(r'pairs\([^)]*"([^"]+)"\)', page)
    plain = re.sub(r"\{%.*?%\}|\{\{.*?\}\}", " ", re.sub(r"</?em>", "", page), flags=re.S)
    pieces = re.split(r"<[^>]+>", re.sub(r"<style>.*?</style>", "", plain, flags=re.S))
    return [*captions, *(" ".join(piece.split()) for piece in pieces if piece.strip())]


def fields() -> list[str]:
    """The labels and helps of all that can be varied, and of the controls of the explorer."""
    said = [text for one in Scenario.paths() for text in (one.label, one.help)]
    for controls in groups().values():
        said += [getattr(one.widget, "label", "") or one.widget.description for one in controls]
    return [*said, *groups()]


def prose(markdown: str) -> list[str]:
    """The lines of a text in Markdown, without code and addresses."""
    plain = re.sub(r"```.*?```|`[^`]*`|\]\([^)]*\)", " ", markdown, flags=re.S)
    return [line for line in plain.splitlines() if line.strip()]


def notebook(path: Path) -> list[str]:
    """What a notebook says: its prose, and what its cells print."""
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    said = [
        line for cell in cells if cell["cell_type"] == "markdown" for line in prose("".join(cell["source"]))
    ]
    outputs = [
        output for cell in cells for output in cell.get("outputs", ()) if output["output_type"] == "stream"
    ]
    return [
        *said,
        *(line for output in outputs for line in "".join(output["text"]).splitlines() if line.strip()),
    ]


def scenario_file(path: Path) -> list[str]:
    """The title, names, notes and comments of a scenario file."""
    lines = path.read_text(encoding="utf-8").splitlines()
    said = [line.partition("=")[2] for line in lines if re.match(r"(title|name|notes?)\b", line)]
    return [*said, *(line.partition("#")[2] for line in lines if "#" in line)]


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
    found |= {str(path.relative_to(PACKAGE)): page_texts(path) for path in sorted(PACKAGE.rglob("*.html"))}
    found["fields"] = fields()
    found["README.md"] = prose((ROOT / "README.md").read_text(encoding="utf-8"))
    found |= {path.name: notebook(path) for path in sorted((ROOT / "notebooks").glob("*.ipynb"))}
    found |= {path.name: scenario_file(path) for path in sorted((ROOT / "shared").glob("*.toml"))}
    return found


TEXTS = [
    (where, text) for where, texts in spoken().items() for text in dict.fromkeys(texts) if text not in KEPT
]


def broken(text: str) -> list[str]:
    """The rules that a text breaks; an invented place, and what a comment in a code block names, break none."""
    text = text.replace("Corran Sound", "")
    return [rule for rule, pattern in BANNED.items() if re.search(pattern, text, re.IGNORECASE)]


def test_the_texts_are_there() -> None:
    assert len(TEXTS) > 700
    assert {where for where, _ in TEXTS} >= {"wording/cautions.py", "data/findings.csv", "report/page.html"}
    assert {where for where, _ in TEXTS} >= {
        "fields",
        "README.md",
        "storm_anchorage.ipynb",
        "explorer/controls.py",
        "explorer/words.html",
    }


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


def test_a_label_is_short_and_a_help_is_one_line() -> None:
    labels = [one.label for one in Scenario.paths()]
    assert [label for label in labels if not label[0].isupper() or len(label.split()) > 6] == []
    assert [one.help for one in Scenario.paths() if len(one.help.split()) > 12] == []


def test_what_nought_stands_for_is_said_where_it_is_no_amount() -> None:
    """In one form, so that the report can tell it in the same words."""
    helps = [one.help for one in Scenario.paths()]
    assert not [text for text in helps if re.search(r"\bat 0\b|\b0 for\b|\b0 takes\b", text)]
    assert sum("0 = " in text for text in helps) >= 15


def test_one_idea_a_sentence() -> None:
    """From one stop to the next no more than 20 words; sources are quoted as they are."""
    said = [text for where, text in TEXTS if where.startswith("wording/") or where.endswith(".html")]
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
    assert rooms_that_know_units() <= set(MAY_KNOW_UNITS)


def test_no_result_beneath_wording_tells_its_own_sentence() -> None:
    """A result of strength and survey has no method or field that is a sentence."""
    for room in ("strength", "survey"):
        for path in modules(room):
            tree = ast.parse(path.read_text(encoding="utf-8"))
            functions = {node.name for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)}
            fields = {node.target.id for node in ast.walk(tree)
                      if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name)}  # fmt: skip
            assert not (functions | fields) & {"sentence", "told", "words", "text"}, path
