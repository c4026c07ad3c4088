"""The nine lessons, each declared once.

The claims are what the spells show, found by running them, and held against fresh ones in the tests.  Where
a load is to be compared the anchor is one that never drags, since a dragging anchor carries no more.
"""

from __future__ import annotations

import math

from anchorsim.dynamics.anchor_travel import DRAGS_FROM
from anchorsim.lessons.plan import Boat, Changes, Claim, Figure, Plan

_BREEZE: Changes = {"weather.mean_wind": "12 knot", "weather.gust": "17 knot"}
_NEAR_GALE: Changes = {"weather.mean_wind": "25 knot", "weather.gust": "35 knot"}
_GALE: Changes = {"weather.mean_wind": "30 knot", "weather.gust": "42 knot"}
_BARE: Changes = {"tackle.chain.length": "120 m", "tackle.snubber.length": "0 m"}
_SNUBBED: Changes = {"tackle.chain.length": "120 m", "tackle.snubber.length": "8 m"}
_ROPE: Changes = {
    "tackle.chain.length": "2 m", "tackle.rope.length": "120 m", "tackle.snubber.length": "0 m",
}  # fmt: skip
_NEVER_DRAGS: Changes = {"tackle.anchor.mass": "100 kg"}
_CHOP: Changes = {"weather.wave_height": "0.5 m", "weather.wave_period": "3 s"}


def _drags(boat: str) -> Figure:
    return Figure("drag", boat, least=DRAGS_FROM)


_SCOPE = Plan(
    key="scope",
    base={**_NEAR_GALE, **_BARE, "spot.depth": "5 m"},
    boats=(
        Boat("3:1", {"tackle.scope": 3}),
        Boat("5:1", {"tackle.scope": 5}),
        Boat("7:1", {"tackle.scope": 7}),
    ),
    measured=("uplift", "drag"),
    asked=_drags("3:1"),
    choices=(0.0, 0.25, 0.6, 1.0),
    claims=(
        Claim(Figure("uplift", "3:1"), math.radians(15), math.radians(19)),
        Claim(Figure("uplift", "3:1", against="7:1"), 3.0, 9.0),
        Claim(_drags("3:1"), 0.4, 0.85),
        Claim(_drags("7:1"), 0.0, 0.05),
        Claim(Figure("load", "3:1", against="5:1"), 0.6, 0.9),
    ),
    tries={"breeze": _BREEZE, "heavy": {"tackle.anchor.mass": "40 kg"}},
    spell=12,
    over={"tackle.scope": (3, 5, 7, 10), "spot.depth": ("3 m", "5 m", "10 m")},
)

_RODES = Plan(
    key="rodes",
    base={**_GALE, **_NEVER_DRAGS, "spot.depth": "5 m", "tackle.scope": 5},
    boats=(
        Boat("chain", _BARE),
        Boat("combination", {**_ROPE, "tackle.chain.length": "10 m"}),
        Boat("rope", _ROPE),
    ),
    measured=("load", "uplift"),
    asked=Figure("load", "chain", against="rope"),
    choices=(0.5, 0.8, 1.0, 1.6),
    claims=(
        Claim(Figure("load", "chain", against="rope"), 1.35, 1.9),
        Claim(Figure("load", "combination", against="rope"), 1.0, 1.25),
        Claim(Figure("uplift", "chain", against="rope"), 0.85, 1.05),
    ),
    tries={"breeze": _BREEZE, "longer": {"tackle.scope": 8}},
    over={"tackle.chain.length": ("2 m", "10 m", "100 m"), "tackle.scope": (3, 5, 8)},
)

_SNUBBER = Plan(
    key="snubber",
    base={**_GALE, **_NEVER_DRAGS, "spot.depth": "3 m", "tackle.scope": 5},
    boats=(
        Boat("bare, gusts", _BARE),
        Boat("snubber, gusts", _SNUBBED),
        Boat("bare, sea", {**_BARE, **_CHOP}),
        Boat("snubber, sea", {**_SNUBBED, **_CHOP}),
    ),
    measured=("load",),
    asked=Figure("load", "snubber, sea", against="bare, sea"),
    choices=(1.0, 0.7, 0.45, 0.1),
    claims=(
        Claim(Figure("load", "snubber, sea", against="bare, sea"), 0.25, 0.5),
        Claim(Figure("load", "snubber, gusts", against="bare, gusts"), 0.6, 0.9),
    ),
    tries={"deep": {"spot.depth": "12 m"}, "thick": {"tackle.snubber.diameter": "20 mm"}},
    over={"tackle.snubber.length": ("0 m", "4 m", "8 m", "15 m"), "weather.wave_height": ("0 m", "0.5 m")},
)

_SHEERING = Plan(
    key="sheering",
    base={**_NEVER_DRAGS, "weather.mean_wind": "20 knot"},
    boats=(
        Boat("plain", {}),
        Boat("sail", {"boat.riding_sail": "3 m²"}),
        Boat("bridle", {"tackle.snubber.legs": 2}),
    ),
    measured=("sheer", "load"),
    asked=Figure("sheer", "sail", against="plain"),
    choices=(1.0, 0.75, 0.5, 0.1),
    claims=(
        Claim(Figure("sheer", "plain"), math.radians(60), math.radians(90)),
        Claim(Figure("sheer", "sail", against="plain"), 0.3, 0.6),
        Claim(Figure("sheer", "bridle", against="plain"), 0.55, 0.9),
    ),
    tries={"cruiser": {"boat.model": "motor-cruiser-11"}, "light": {"weather.mean_wind": "10 knot"}},
    over={"boat.riding_sail": ("0 m²", "1.5 m²", "3 m²"), "tackle.snubber.legs": (1, 2)},
)

_TIDE = Plan(
    key="tide",
    base={**_NEAR_GALE, **_BARE, "spot.depth": "5 m"},
    boats=(
        Boat("low water", {"tackle.scope": 5}),
        Boat("half tide", {"tackle.scope": 4, "spot.tide": "1.6 m"}),
        Boat("high water", {"tackle.scope": 3, "spot.tide": "4.27 m"}),
        Boat("let out", {"tackle.scope": 5, "spot.tide": "4.27 m"}),
    ),
    measured=("uplift", "drag"),
    asked=Figure("uplift", "high water", against="low water"),
    choices=(1.0, 1.3, 1.8, 3.0),
    claims=(
        Claim(Figure("uplift", "high water", against="low water"), 1.6, 2.1),
        Claim(_drags("high water"), 0.2, 0.6),
        Claim(_drags("let out"), 0.0, 0.05),
    ),
    tries={"rope": _ROPE, "heavy": {"tackle.anchor.mass": "40 kg"}},
    spell=4,
)

_SQUALL = Plan(
    key="squall",
    base={
        "tackle.anchor.mass": "16 kg",
        "weather.mean_wind": "12 knot",
        "weather.squall_wind": "35 knot",
        "weather.squall_start": "3 min",
        "weather.squall_duration": "5 min",
    },
    boats=(
        Boat("ahead", {"weather.squall_shift": "0 degree"}),
        Boat("abeam", {"weather.squall_shift": "90 degree"}),
        Boat("astern", {"weather.squall_shift": "180 degree"}),
    ),
    measured=("drag",),
    asked=Figure("drag", "astern", least=20.0, among=DRAGS_FROM),
    choices=(0.0, 0.1, 0.4, 1.0),
    claims=(
        Claim(_drags("astern"), 0.45, 0.75),
        Claim(_drags("ahead"), 0.35, 0.65),
        Claim(Figure("drag", "astern", least=20.0, among=DRAGS_FROM), 0.25, 0.5),
        Claim(Figure("load", "astern", against="ahead"), 0.93, 1.07),
    ),
    tries={"heavy": {"tackle.anchor.mass": "25 kg"}, "mud": {"spot.bottom": "soft mud"}},
    spell=1,
    spells=48,
    over={
        "weather.squall_shift": ("0 degree", "90 degree", "180 degree"),
        "tackle.anchor.mass": ("16 kg", "25 kg"),
    },
)

_PITTED: Changes = {"survey.findings": [{"kind": "shackle rusted", "grade": "pitted"}]}
_OFF = (42.4, -42.4)  # 60 m to the north-west

_NEIGHBOURS = Plan(
    key="neighbours",
    base={  # early enough that the boats have passed each other within the spell
        "weather.mean_wind": "6 knot",
        "weather.shift": "120 degree",
        "weather.shift_start": "0 min",
    },
    boats=(
        Boat("chain", {**_BARE, "tackle.scope": 5}),
        Boat("same", {**_BARE, "tackle.scope": 5}, at=_OFF),
        Boat("rope", {**_ROPE, "tackle.scope": 7}, at=_OFF),
    ),
    measured=("gap",),
    asked=Figure("gap", "rope", against="same"),
    choices=(1.0, 0.7, 0.35, 0.1),
    claims=(
        Claim(Figure("gap", "same"), 47.0, 49.0),
        Claim(Figure("gap", "rope", against="same"), 0.3, 0.42),
    ),
    tries={"blow": _NEAR_GALE, "long": {"tackle.scope": 7}},
    spell=3,
)

_WEAKEST = Plan(
    key="weakest",
    base={
        **_NEAR_GALE,
        "tackle.anchor.mass": "33 kg",
        "tackle.snubber.diameter": "18 mm",
        "tackle.fittings.anchor_shackle.size": "8 mm",
    },
    boats=(
        Boat("new", {}),
        Boat("pitted", _PITTED),
        Boat("big chain", {**_PITTED, "tackle.chain.size": "10 mm"}),
    ),
    measured=("margin", "load"),
    asked=Figure("margin", "pitted", against="new"),
    choices=(1.0, 0.85, 0.65, 0.2),
    claims=(
        Claim(Figure("margin", "pitted", against="new"), 0.6, 0.7),
        Claim(Figure("margin", "big chain", against="pitted"), 1.0, 1.35),
        Claim(Figure("margin", "big chain", against="new"), 0.6, 0.9),
        Claim(Figure("load", "pitted", against="new"), 1.0, 1.0),
    ),
    tries={"gale": _GALE, "longer": {"tackle.snubber.length": "15 m"}},
)

_CHANCE = Plan(
    key="chance",
    base={**_GALE, "spot.depth": "5 m", "tackle.scope": 5},
    boats=tuple(Boat(f"spell {number}", {}, spell=number) for number in (5, 0, 14, 7)),
    measured=("drag",),
    asked=_drags("spell 5"),
    choices=(0.0, 0.05, 0.25, 1.0),
    claims=(Claim(_drags("spell 5"), 0.1, 0.45),),
    tries={"less": _NEAR_GALE, "heavy": {"tackle.anchor.mass": "40 kg"}},
    over={"tackle.anchor.mass": ("16 kg", "20 kg", "25 kg", "40 kg"), "tackle.scope": (3, 5, 7)},
)

PLANS = {
    plan.key: plan
    for plan in (
        _SCOPE, _RODES, _SNUBBER, _SHEERING, _TIDE, _SQUALL, _NEIGHBOURS, _WEAKEST, _CHANCE,
    )
}  # fmt: skip
