"""What matters most among the unknowns, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from anchorsim.wording.amounts import listed, upper

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
    told = [f"{LABELS[one.doubt.key]} {_share(one.total)}" for one in seen[:_TOLD]]
    text = f"Largest sources of uncertainty in {OF[found.of]}: {', then '.join(told)}."
    little = [LABELS[one.doubt.key] for one in found.influences if one.total.high < _LITTLE]
    if little:
        makes = "makes" if len(little) == 1 else "make"
        text += f" {upper(listed(little))} {makes} little difference."
    return text


def _share(found: Interval) -> str:
    low, likely, high = (100 * min(max(share, 0.0), 1.0) for share in found)
    return f"{likely:.0f} % ({low:.0f} to {high:.0f})"
