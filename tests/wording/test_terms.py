"""Terms of the US trade: in the US view alone, and wherever our own words name such a thing.

The pairs are usual in the two trades (common practice, no source).
"""

from __future__ import annotations

import re

import pytest

from anchorsim.core.tables import table
from anchorsim.explorer.controls import groups
from anchorsim.scenario.findings import OTHER, Finding, grades_of, measure_of, parts_of
from anchorsim.scenario.scenario import Scenario
from anchorsim.wording import findings
from anchorsim.wording.cautions import on_part
from anchorsim.wording.terms import local

BRITISH = r"\b(draught|gypsy|plough|spanner|tidal stream|chain locker|bow shackle)\b|galvanis|chart datum"
KINDS = list(dict.fromkeys(str(row["finding"]) for row in table("findings")))


@pytest.mark.parametrize(
    ("british", "american"),
    [
        ("Draught of the hull", "Draft of the hull"),
        ("Chain locker", "Anchor locker"),
        ("the tidal stream turns", "the tidal current turns"),
        ("Regalvanised before; have it galvanised", "Regalvanized before; have it galvanized"),
        ("Jams in gypsy or pipe", "Jams in wildcat or pipe"),
        ("a bow shackle", "a screw pin anchor shackle"),
        ("plough", "plow"),
        ("with a spanner or key", "with a wrench or key"),
        ("Mark every 5 or 10 m", "Mark every 20 or 30 ft"),
    ],
)
def test_a_term_and_its_kin(british: str, american: str) -> None:
    assert local(british, "US") == american
    assert local(british, "metric") == british


def test_the_rest_is_left_alone() -> None:
    for text in ("A colour of grey metres", "Ploughman's rock", "drought", "Secure it with a lashing"):
        assert local(text, "US") == text


def found(kind: str) -> Finding:
    measure = measure_of(kind)
    given = (
        {}
        if measure is None
        else {"measured": f"{measure.high:g} {measure.unit}" if measure.unit else measure.high}
    )
    words = {"words": "Something odd"} if kind == OTHER else {}
    return Finding.model_validate(
        {"kind": kind, "part": parts_of(kind)[0], "grade": grades_of(kind)[0], **words, **given}
    )


@pytest.mark.parametrize("kind", KINDS)
def test_a_finding_is_told_in_them(kind: str) -> None:
    one = found(kind)
    for tell in (findings.named, findings.what, findings.remedy, findings.behaviour):
        assert not re.search(BRITISH, tell(one, "US"), re.IGNORECASE), tell(one, "US")
    assert not re.search(BRITISH, findings.how_to_check(kind, "US"), re.IGNORECASE)


def test_parts_and_what_to_mind_are_told_in_them() -> None:
    for row in table("parts"):
        said = [findings.part(row["part"], "US"), *(caution.text for caution in on_part(row["part"], "US"))]
        assert not [text for text in said if re.search(BRITISH, text, re.IGNORECASE)]
    assert findings.part("gypsy") == "Gypsy" and findings.part("gypsy", "US") == "Wildcat"


def test_controls_change_their_terms_and_keep_their_values() -> None:
    scenario = Scenario().vary({"tackle.anchor.type": "plough"})
    controls = {one.path: one for controls in groups().values() for one in controls}
    anchor = controls["tackle.anchor.type"]
    for system, name in (("US", "plow"), ("metric", "plough")):
        for control in controls.values():
            control.show(scenario, system)  # type: ignore[arg-type]
        assert name in [option for option, _ in anchor.widget.options]
        assert dict(anchor.changes()) == {"tackle.anchor.type": "plough"}
