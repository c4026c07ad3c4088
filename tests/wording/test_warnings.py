"""Warnings: signal words follow the share of spells, the gravest comes first."""

from __future__ import annotations

from invented_spells import invented

from anchorsim.risk.assessment import Assessment
from anchorsim.wording.warnings import unfit, warnings


def some(*drags: float) -> list[float]:
    return [*drags, *[0.0] * (8 - len(drags))]


def said(found: Assessment) -> tuple[str, ...]:
    return tuple(map(str, warnings(found)))


def test_signal_words_come_gravest_first_and_follow_the_share_of_spells() -> None:
    assert said(invented()) == ()
    (creeps,) = said(invented(drag=some(0.2, 0.3)))
    assert creeps.startswith(
        "WARNING The anchor creeps in 2 of 8 spells. It is at its limit and can start to drag."
    )
    drags, time = said(invented(drag=some(0.2, 3.0)))
    assert "leave. Odds and limits give the wind to leave by, the night the hour." in drags
    assert time.startswith("WARNING A dragging boat leaves little time:")
    assert drags.startswith(
        "WARNING The anchor drags in 1 of 8 spells. The boat can go ashore or hit others."
    )
    breaks = said(invented(peak=[1e5], drag=[5.0]))
    assert breaks[0].startswith("DANGER Gear breaks in all 8 spells.")
    assert said(invented(peak=[1e5, 2e3]))[0].startswith("WARNING Gear breaks in 1 of 8 spells.")
    assert said(invented(water=1.0))[0].startswith("DANGER The boat goes aground in all 8 spells.")
    assert any(
        told.startswith("WARNING No snubber.") for told in said(invented(tackle__snubber__length="0 m"))
    )


def test_all_that_is_not_fit_is_named_once() -> None:
    parts = invented().states[:3]
    told = str(unfit(parts))
    assert told.startswith("WARNING The ") and all(part.name[1:] in told for part in parts)
    assert "are not fit for use. They can fail under load" in told
    assert "is not fit for use. It can fail under load" in str(unfit(parts[:1]))
    assert unfit(()) is None
