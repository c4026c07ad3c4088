"""A boat of one's own: what a person says of her, and all else after the nearest boat of the catalogue.

Places scale with her length and the rest with the sizes that it hangs on (judgement).  What she carries on
deck is in ``data/deck_gear.csv`` and comes on top: the boats of the catalogue have no sprayhood or dinghy.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from anchorsim.core.tables import catalogue, pick
from anchorsim.core.units import Quantity, quantity, si
from anchorsim.scenario.vessel import Boat

SIZES = ("length", "waterline", "beam", "draught", "bow_height", "displacement")  # what people know of a boat
ANSWERS = ("rig", "cover", "dinghy")  # what she carries on deck
_ALONG = ("roller", "windage_centre", "rig_centre", "keel_centre", "rudder_centre", "windage_height")
_OWN_RIG = {"ketch": "two masts", "motor cruiser": "none"}  # of the catalogue's boats; the others: one mast
_MOST_CANOE = 0.95  # of the draught, what the hull draws without its keel (judgement)


def nearest_model(kind: str, length: float) -> str:
    """The boat of the catalogue of a kind that is nearest in length (m), of any kind where it has none."""
    boats = {model: _stock(model) for model in catalogue()}
    alike = {model: boat for model, boat in boats.items() if boat.kind == kind} or boats
    return min(alike, key=lambda model: abs(math.log(si(alike[model].length) / length)))


def own_boat(boat: Boat, said: Mapping[str, Any]) -> Boat:
    """A boat with what is ``said`` of her changed; what nobody said follows from her model.

    ``said`` holds fields as a file would, None to take one back.  The model is the nearest of her kind and
    length unless it is said.  Sizes that do not follow from her length stay as they are, and so does any
    other figure that neither follows nor is her model's.  Raises ValidationError where figures do not go
    together.
    """
    told = {**_told(boat), **said}
    told = {name: value for name, value in told.items() if value is not None}
    kind = str(told.get("kind", boat.kind))
    told.setdefault("length", boat.length)
    sizes = {name: _size(name, told[name]) for name in SIZES if name in told}
    model = str(told.pop("model", nearest_model(kind, sizes["length"])))
    answers = {name: told[name] for name in ANSWERS if name in told}
    return Boat.model_validate({**_following(model, sizes, answers), **told, "model": model, "kind": kind})


def _size(name: str, given: Any) -> float:
    value: Any = Boat.measure(name).read(given)
    return si(value)


def _stock(model: str) -> Boat:
    return Boat.model_validate({"model": model})


def _told(boat: Boat) -> dict[str, Any]:
    """What was said of a boat: all that neither follows from what was said before nor is her model's own."""
    stock, sizes = _stock(boat.model), dict[str, float]()
    for name in SIZES:
        if not _same(getattr(boat, name), _following(boat.model, sizes, {})[name]):
            sizes[name] = si(getattr(boat, name))
    answers = {name: getattr(boat, name) for name in ANSWERS}
    follows = _following(boat.model, sizes, answers)
    others = (name for name in Boat.model_fields if name not in (*SIZES, "model", "hulls", "windage"))
    told = [
        name
        for name in others
        if not any(_same(getattr(boat, name), of) for of in (getattr(stock, name), follows.get(name)))
    ]
    return {name: getattr(boat, name) for name in (*sizes, *told)}


def _same(value: Any, other: Any) -> bool:
    if isinstance(value, str) or other is None:
        return bool(value == other)
    return math.isclose(si(value), si(other), rel_tol=1e-6, abs_tol=1e-9)


def _following(model: str, sizes: Mapping[str, float], answers: Mapping[str, str]) -> dict[str, Quantity]:
    """The figures of a boat after her model, from the sizes (m, kg) and answers that there are.

    The hull keeps the block of her model's: what she displaces tells how deep it lies.
    """
    boat = _stock(model)
    stock = {name: si(getattr(boat, name)) for name in Boat.quantities()}
    long = sizes.get("length", stock["length"]) / stock["length"]
    ratio = {name: sizes.get(name, stock[name] * long) / stock[name] for name in SIZES}
    wide, wet = ratio["beam"], ratio["waterline"]
    if "displacement" not in sizes:
        ratio["displacement"] = wet * wide * long
    draught = stock["draught"] * ratio["draught"]
    canoe = min(stock["canoe_draught"] * ratio["displacement"] / (wet * wide), _MOST_CANOE * draught)
    deep = (draught - canoe) / (stock["draught"] - stock["canoe_draught"])
    share = {
        **ratio,
        **dict.fromkeys(_ALONG, long),
        "waterline_beam": wide,
        "bridle_spread": wide,
        "canoe_draught": canoe / stock["canoe_draught"],
        "keel_area": wet * deep,
        "rudder_area": wet * ratio["draught"],
        "frontal_area": wide * ratio["bow_height"],
        "lateral_area": long * ratio["bow_height"],
        "rig_frontal_area": long**2,
        "rig_lateral_area": long**2,
    }
    value = {name: stock[name] * by for name, by in share.items()}
    _carry(value, boat.kind, answers)
    return {name: quantity(_rounded(value[name]), Boat.measure(name).unit) for name in value}


def _carry(value: dict[str, float], kind: str, answers: Mapping[str, str]) -> None:
    """Add what she carries to windage (m², and its centre in m), and take another rig where she has one."""
    length = value["length"]
    for question in ("cover", "dinghy"):
        row = pick("deck_gear", question=question, answer=answers.get(question) or "none")
        before, more = value["lateral_area"], row["lateral"] * length**2
        centre = value["windage_centre"] * before + row["centre"] * length * more
        value["windage_centre"] = centre / (before + more)
        value["lateral_area"] += more
        value["frontal_area"] += row["frontal"] * length**2
    own = _OWN_RIG.get(kind, "one mast")
    if answers.get("rig", "") not in ("", own):
        row = pick("deck_gear", question="rig", answer=answers["rig"])
        value["rig_frontal_area"], value["rig_lateral_area"] = (
            row[side] * length**2 for side in ("frontal", "lateral")
        )
        value["rig_centre"] = row["centre"] * length


def _rounded(value: float) -> float:
    return float(f"{value:.3g}")
