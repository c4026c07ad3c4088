"""What matters most among the unknowns, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from anchorsim.numerics.estimates import WIDE
from anchorsim.risk import spreads
from anchorsim.wording.amounts import listed, percent, upper

if TYPE_CHECKING:  # a first picture does not wait for the statistics
    from anchorsim.numerics.interval import Interval
    from anchorsim.risk.sensitivity import Key, Ranking, Sensitivity

OF = {"peak load": "peak load at the bow", "dragging": "whether the anchor drags"}
LABELS: dict[Key, str] = {
    "holding": "how well the anchor has set",
    "gusts": "the order of gusts",
    "wind": "mean wind against the forecast",
    "gustiness": "gustiness",
    "windage": "windage",
    "water": "hull drag",
    "depth": "depth of water",
    "length": "rode really out",
    "friction": "friction on the bottom",
    "line drag": "drag of the rode in the water",
    "stretch": "stretch left in the nylon",
    "loading": "loading",
}
_LOW, _HIGH = (100.0 * share for share in spreads.LOADING)
_DEPTH = f"√({spreads.DEPTH_FIXED:g}² + ({spreads.DEPTH_SHARE:g} depth)²) m"


def _within(spread: float) -> str:
    return f"within {percent(WIDE * spread)}, 19 times in 20"


# Over what range each is varied, and where the range is from.
RANGES: dict[Key, tuple[str, str]] = {
    "holding": (
        "one anchor in ten holds less than the least figure of its type, one more than the most",
        "data/anchors.csv; lognormal between the two is a judgement",
    ),
    "gusts": ("all that the weather can bring", "IEC 61400-1 turbulence"),
    "wind": (f"the mean wind, and gusts and squall with it: {_within(spreads.WIND)}", "judgement"),
    "gustiness": (
        f"how far gusts go over the mean: {_within(spreads.GUSTS)}",
        "judgement; classes of exposure lie farther apart, Harper, Kepert & Ginger (2010)",
    ),
    "windage": (f"the push of a given wind: {_within(spreads.WINDAGE)}", "judgement"),
    "water": (
        f"the push of the water at a given speed: {_within(spreads.WATER)}",
        "judgement: as far as cross-flow coefficients of hulls lie apart, 0.56 to 1.08 (data/crossflow.csv)",
    ),
    "depth": (
        f"within {_DEPTH}, 19 times in 20, with the same rode out",
        "IHO S-44, order 1 surveys (from memory)",
    ),
    "length": (f"the length meant, {_within(spreads.LENGTH)}, as far as the rode goes", "judgement"),
    "friction": (
        f"friction of rode that lies: {_within(spreads.FRICTION)}",
        "judgement: chain at rest on sand has a third more, 0.98 for 0.74 (US Navy, from memory)",
    ),
    "line drag": (
        f"drag at a given speed through the water: {_within(spreads.LINE_DRAG)}",
        "judgement: published coefficients of chain across lie between 1.2 and 2.6 on the bar's diameter",
    ),
    "stretch": (f"{percent(spreads.LEAST_STRETCH)} to all of the stretch stated", "judgement"),
    "loading": (
        f"{_LOW:.0f} to {_HIGH:.0f} % of the displacement",
        "judgement",
    ),
}
_LITTLE = 0.05  # share of the uncertainty that is not worth a word (judgement)
_TOLD = 3  # sources of uncertainty that are named


def sentence(found: Sensitivity) -> str:
    """The largest sources of uncertainty in peak load and in dragging."""
    if found.dragging is not None:
        return f"{ranking(found.peak)} {ranking(found.dragging)}"
    how_many, also = ("all", "") if found.dragged > 0.5 else ("none", " It may still drag.")
    return (
        f"{ranking(found.peak)} The anchor drags in {how_many} of {found.spells} spells, so nothing can be "
        f"ranked.{also}"
    )


def ranking(found: Ranking) -> str:
    """The largest sources of uncertainty in one thing that happens, and what makes little difference."""
    seen = [one for one in found.influences if one.seen and one.total.likely >= _LITTLE]
    if not seen:
        return f"Too few spells to rank what matters for {OF[found.of]}. Run more."
    said = [f"{LABELS[one.doubt]} {_share(one.total)}" for one in seen[:_TOLD]]
    text = f"Largest sources of uncertainty in {OF[found.of]}: {', then '.join(said)}."
    little = [LABELS[one.doubt] for one in found.influences if one.total.high < _LITTLE]
    if little:
        makes = "makes" if len(little) == 1 else "make"
        text += f" {upper(listed(little))} {makes} little difference."
    return text


def _share(found: Interval) -> str:
    low, likely, high = (100 * min(max(share, 0.0), 1.0) for share in found)
    return f"{likely:.0f} % ({low:.0f} to {high:.0f})"
