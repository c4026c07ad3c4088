"""Findings in sentences: every kind has them, and what was measured stands beside its limit."""

from __future__ import annotations

import pytest
from findings_of_all_kinds import EVERY

from anchorsim.core.tables import table
from anchorsim.scenario.findings import Finding, kinds_on
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.degradation import effect
from anchorsim.wording import cautions, findings
from anchorsim.wording.weakest_link import labels

STOCK = Scenario()  # 8 mm chain of grade 40, 14 mm snubber
KINDS = {str(row["finding"]) for row in table("findings")}
PARTS = {str(row["part"]) for row in table("parts")}


def measured(kind: str, system: str = "metric", **more: object) -> str:
    finding = Finding.model_validate({"kind": kind, **more})
    return findings.measured(effect(STOCK, finding), system)


@pytest.mark.parametrize(
    ("kind", "more", "said"),
    [
        # 49 / 64 of the section; 0.272 in = 6.91 mm, ASME B30.9 [reprint]
        (
            "chain link worn",
            {"measured": "7 mm"},
            "7 mm of 8 mm left, 77 % of the section. Wear limit 7.2 mm (EN 818-6).",
        ),
        # 13 / 14; the limit of 0.9 is a judgement
        (
            "rope diameter lost",
            {"part": "snubber", "measured": "13 mm"},
            "13 mm of 14 mm left, 93 % of the diameter. Wear limit 12.6 mm.",
        ),
        ("chain links stretched", {"measured": "3 percent"}, "Stretched 3 %; limit 5 %."),  # BG BAU, read
        # twice and six tucks: common practice, no source
        ("chain regalvanised", {"measured": 1}, "Regalvanised once; limit 2."),
        ("chain regalvanised", {"measured": 3}, "Regalvanised 3 times; limit 2."),
        ("splice of few tucks", {"measured": 4}, "4 full tucks; 6 needed."),
        ("rope old and in the sun", {"part": "rope", "measured": "11 year"}, "11 years old."),
        # 40 µm at 2 to 4 µm a year, ISO 14713 [reprint]
        (
            "chain zinc thin",
            {"grade": "C4", "measured": "40 micrometer"},
            "Zinc left for about 10 to 20 years (C4, ISO 14713).",
        ),
        ("chain link cracked", {}, ""),
    ],
)  # fmt: skip
def test_what_was_measured_stands_beside_its_limit(kind: str, more: dict[str, object], said: str) -> None:
    assert measured(kind, **more) == said


def test_sizes_are_in_inches_for_who_wants_them() -> None:
    # 7 mm = 0.276 in, 8 mm = 0.315 in, NIST SP 811
    said = measured("chain link worn", "US", measured="7 mm")
    assert said == "0.276 in of 0.315 in left, 77 % of the section. Wear limit 0.283 in (EN 818-6)."


@pytest.mark.parametrize("given", EVERY, ids=lambda found: " ".join(map(str, found.values())))
def test_every_finding_has_a_title_and_its_sentences(given: dict[str, object]) -> None:
    finding = Finding.model_validate(given)
    found = effect(STOCK, finding)
    title = findings.title(finding.kind)
    assert title[0].isupper() and len(title.split()) <= 7 and title not in KINDS
    for text in (
        findings.what(finding),
        findings.how_to_check(finding.kind),
        findings.remedy(finding),
        findings.job(found),
    ):
        assert text[0].isupper() and text.endswith(".") and ".." not in text
    assert findings.leaves(found) or found.unfit


def test_a_kind_has_one_title_and_a_part_no_two_alike() -> None:
    for kind in KINDS:
        assert len({row["title"] for row in table("findings") if row["finding"] == kind}) == 1
    for part in PARTS:
        titles = [findings.title(kind) for kind in kinds_on(part)]
        assert len(set(titles)) == len(titles), part


def test_a_part_past_its_limit_is_renewed_and_not_turned() -> None:
    worn, thin = (
        effect(STOCK, Finding.model_validate({"kind": "chain link worn", "measured": left}))
        for left in ("7.5 mm", "6.5 mm")
    )
    assert findings.job(worn) == "Turn end for end. Renew at the wear limit."
    assert findings.job(thin) == "Renew the chain now."


def test_what_a_finding_leaves() -> None:
    stiff = effect(STOCK, Finding(kind="rope stiff", part="snubber"))
    assert findings.leaves(stiff) == "Strength left about 80 % (60 to 100). Stretch left about 60 % of new."
    drain = effect(STOCK, Finding(kind="locker drain blocked"))
    assert findings.leaves(drain) == findings.NOT_QUANTIFIED


def test_wiring_is_for_an_electrician() -> None:
    wiring = ("windlass terminals corroded", "windlass switch cracked", "windlass breaker missing")
    for kind in wiring:
        assert "competent electrician" in findings.remedy(Finding(kind=kind))
        assert cautions.CIRCUITS in cautions.on_finding(kind)
    assert "electrician" not in findings.remedy(Finding(kind="windlass leaks oil"))


def test_each_caution_belongs_to_a_kind_or_part_that_there_is() -> None:
    assert {kind for kind in KINDS if cautions.on_finding(kind)} == set(cautions._ON_FINDING)
    assert {part for part in PARTS if cautions.on_part(part)} == set(cautions._ON_PART)


def test_what_is_checked_by_engine_or_knocked_off_says_what_to_mind() -> None:
    """The cards that ask for it: going astern, loose rust, dye, levers."""
    for kind in KINDS:
        look, mind = findings.how_to_check(kind).lower(), cautions.on_finding(kind)
        for word, caution in (
            ("astern", cautions.GOING_ASTERN),
            ("dye", cautions.DYE),
            ("rust. measure", cautions.RUST_CHIPS),
            ("loose rust", cautions.RUST_CHIPS),
        ):
            assert word not in look or caution in mind, (kind, word)


def test_names_within_a_sentence() -> None:
    assert labels([]) == ""
    assert (
        findings.named(Finding(kind="shackle pulled sideways", grade="45 degrees"))
        == "Shackle side-loaded, 45°"
    )
    assert findings.named(Finding(kind="chain rusted", grade="flaking")) == "Rusted chain, flaking"
