"""What each lesson says: question, explanation, things to try, answers and cautions.

Figures are asked of the lesson that was run (:class:`Told`); no number of a result is written here.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from anchorsim.core.units import System, si
from anchorsim.dynamics.anchor_travel import DRAGS_FROM
from anchorsim.lessons.lesson import Lesson
from anchorsim.lessons.plan import Boat, Figure, Measured
from anchorsim.scenario.scenario import Scenario
from anchorsim.wording import amounts, cautions
from anchorsim.wording.cautions import Caution

Sentences = tuple[str, ...]


@dataclass(frozen=True)
class Told:
    """The figures of a lesson as words, in a unit system."""

    found: Lesson
    system: System

    def of(self, measured: Measured, boat: str) -> str:
        """The median of what is measured on a boat."""
        return amount(measured, self.found.figure_of(Figure(measured, boat)), self.system)

    def times(self, measured: Measured, boat: str, other: str) -> str:
        """How many times as much as on another boat."""
        return amounts.factor(self.found.figure_of(Figure(measured, boat, against=other)))

    def drags(self, boat: str) -> str:
        """In how many of the spells the anchor drags."""
        found = self.found.assessments[self.found.plan.boat(boat)]
        return amounts.in_spells(found.count("dragged"), len(found))

    def length(self, metres: float) -> str:
        """A length that is set."""
        return amounts.length(metres, self.system)

    @property
    def scenario(self) -> Scenario:
        """That of the first boat."""
        return self.found.assessments[0].scenario

    @property
    def depth(self) -> str:
        """Depth of water of the first boat."""
        return self.length(si(self.scenario.spot.depth))


@dataclass(frozen=True)
class Text:
    """One lesson in words.

    ``boats``: their names by key.  ``tries``: label, and what comes of it, by key.  ``answers``: for the
    instructor.
    """

    title: str
    question: str
    boats: Callable[[Boat, System], str]
    explained: Callable[[Told], Sentences]
    tries: Mapping[str, tuple[str, str]]
    answers: Sentences
    cautions: tuple[Caution, ...]


def amount(measured: Measured, value: float, system: System) -> str:
    """A figure of what is measured, in SI, with its unit; a dash where there is none."""
    if not math.isfinite(value):
        return amounts.NONE
    if measured == "load":
        return amounts.force(value, system)
    if measured in ("uplift", "sheer"):
        return amounts.angle(value)
    if measured in ("margin", "used"):
        return amounts.factor(value)
    return amounts.length(value, system)


def _named(names: Mapping[str, str]) -> Callable[[Boat, System], str]:
    return lambda boat, _: names[boat.key]


def _metres(metres: float, system: System, words: str) -> str:
    return words.format(amounts.length(metres, system))


_NEAR, _FAR = 5.0, 20.0  # m
_CAPPED = "A dragging anchor carries no more load, so read the loads of a dragging boat with care."
_HEAVY = "Here the anchor is one that never drags, so that the loads can be compared."


def _scope(t: Told) -> Sentences:
    return (
        f"The uplift at the anchor is {t.of('uplift', '3:1')} at 3:1, {t.of('uplift', '5:1')} at 5:1 and "
        f"{t.of('uplift', '7:1')} at 7:1.",
        "A rode that lifts the anchor takes away holding: 15° costs about half of it.",
        f"So the anchor drags {t.drags('3:1')} at 3:1 and {t.drags('7:1')} at 7:1.",
        f"The peak load at 3:1 is only {t.of('load', '3:1')}, at 5:1 {t.of('load', '5:1')}. {_CAPPED}",
    )


def _rodes(t: Told) -> Sentences:
    return (
        f"In the gale the peak load is {t.of('load', 'chain')} on all chain, "
        f"{t.of('load', 'combination')} on the combination and {t.of('load', 'rope')} on rope.",
        "The gust lifts all of the chain. Once it is straight it no longer gives way, and nylon does.",
        f"The uplift is nearly the same: {t.of('uplift', 'chain')} and {t.of('uplift', 'rope')}.",
        "In a breeze some of the chain stays on the bottom, and there is no uplift. In a gale none of it does.",
        _HEAVY,
    )


def _snubber(t: Told) -> Sentences:
    return (
        f"In gusts alone the peak load falls from {t.of('load', 'bare, gusts')} to "
        f"{t.of('load', 'snubber, gusts')}.",
        f"In a sea it falls from {t.of('load', 'bare, sea')} to {t.of('load', 'snubber, sea')}.",
        f"On bare chain in that sea gear may break {_may_break(t)}.",
        f"Waves lift the bow faster than {t.depth} of water leaves chain to give way. The snubber stretches instead.",
        _HEAVY,
    )


def _may_break(t: Told) -> str:
    found = t.found.assessments[t.found.plan.boat("bare, sea")]
    return amounts.in_spells(found.count("may have broken") + found.count("broke"), len(found))


def _sheering(t: Told) -> Sentences:
    return (
        f"The heading of the plain boat swings through {t.of('sheer', 'plain')}.",
        f"With a riding sail aft it is {t.of('sheer', 'sail')}, with the snubber on two bow cleats "
        f"{t.of('sheer', 'bridle')}.",
        "The windage forward pushes the bow off the wind. The boat sails off to one side until the rode turns it back.",
        "The sail pushes the stern downwind. Two legs turn the bow back earlier.",
        f"The peak load follows only a little: {t.of('load', 'plain')}, {t.of('load', 'sail')} and "
        f"{t.of('load', 'bridle')}.",
    )


def _tide(t: Told) -> Sentences:
    rise = si(t.found.assessments[2].scenario.spot.tide)
    return (
        f"The tide rises {t.length(rise)} over {t.depth} of water. Nobody touches the rode, and 5:1 is 3:1.",
        f"The uplift grows from {t.of('uplift', 'low water')} to {t.of('uplift', 'high water')}.",
        f"The anchor drags {t.drags('low water')} at low water and {t.drags('high water')} at high water.",
        f"Let out to 5:1 for high water, it drags {t.drags('let out')}. Then check the swinging circle for low water.",
    )


def _squall(t: Told) -> Sentences:
    drag = t.found.si["drag"][t.found.plan.boat("astern")]
    far, near = int((drag >= _FAR).sum()), int(((drag >= DRAGS_FROM) & (drag < _FAR)).sum())
    return (
        f"The anchor drags {t.drags('ahead')} with the squall from ahead and {t.drags('astern')} from astern.",
        f"The peak load is {t.of('load', 'ahead')} and {t.of('load', 'astern')}: direction makes no difference to it.",
        f"From astern {near} of {near + far} anchors that drag dig in again within {t.length(_FAR)}, most of them within {t.length(_NEAR)}.",
        f"The other {far} come out, and drag on for as long as it blows. It is one or the other.",
        "In this calculation the anchor does not turn over with the wind. A real one can break out, so expect worse.",
    )


def _neighbours(t: Told) -> Sentences:
    same, rope = (t.found.plan.boat(key) for key in ("same", "rope"))
    nearest = amount("gap", float(t.found.si["gap"][rope].min()), t.system)
    return (
        f"A neighbour on the same rode keeps {amount('gap', float(t.found.si['gap'][same].min()), t.system)} "
        "away: both swing together.",
        f"A neighbour on rope at 7:1 comes within {t.of('gap', 'rope')}, and in one spell within {nearest}.",
        "In light wind the chain lies on the bottom. It stops the first boat near its anchor, half way round.",
        "Rope has little weight, and the wind carries its boat on, past the first one.",
    )


def _weakest(t: Told) -> Sentences:
    new, pitted, big = t.found.assessments
    link = min(pitted.states, key=lambda part: part.safety_factor.likely)
    whole = min(new.states, key=lambda part: part.safety_factor.likely)
    chain = next(part for part in big.states if part.key == "chain")
    force = amounts.force
    return (
        f"The loads are the same, {t.of('load', 'new')}. The pitted shackle has a strength left of "
        f"{force(link.strength_left.likely, t.system)}, as new {force(whole.strength_left.likely, t.system)}.",
        f"The safety factor falls from {t.of('margin', 'new')} to {t.of('margin', 'pitted')}.",
        f"The bigger chain has a strength of {force(chain.strength_left.likely, t.system)}, and it does not count.",
        f"The safety factor is then {t.of('margin', 'big chain')}, only because heavier chain lowers the load to "
        f"{t.of('load', 'big chain')}.",
        "A new shackle of the right size costs less than any chain, and gives back all of it.",
    )


def _chance(t: Told) -> Sentences:
    found = t.found.assessments[0]
    dragged, holding = found.happened("dragged"), found.spells.holding
    poorer = holding < sorted(holding)[len(holding) // 2]
    return (
        "The four boats are one boat, with the same gear, in the same forecast.",
        f"The anchor drags {t.drags('spell 5')}. In the others it holds or creeps.",
        f"Among the {int(poorer.sum())} spells with the poorer set {int((dragged & poorer).sum())} drag, among the "
        f"{int((~poorer).sum())} with the better set {int((dragged & ~poorer).sum())}.",
        "Nobody on board knows how well the anchor has set, or which gusts will come. So the answer is a chance.",
    )


def _spell(boat: Boat, _: System) -> str:
    return f"Spell {(boat.spell or 0) + 1}"


_BREEZE = "12 kn gusting 17"
_TWICE = "Try an anchor of twice the weight"
TEXTS: Mapping[str, Text] = {
    "scope": Text(
        "Scope and uplift",
        "Bare chain, 25 kn gusting 35. At 3:1, in how many of 100 spells does the anchor drag?",
        _named({"3:1": "3:1", "5:1": "5:1", "7:1": "7:1"}),
        _scope,
        {
            "breeze": (
                f"Try it in {_BREEZE}",
                "Even 3:1 holds now. A quiet night proves nothing about scope.",
            ),
            "heavy": (_TWICE, "It drags less, but the uplift at 3:1 is as large as before."),
        },
        (
            "Expected mistake: the boat with the highest load is the worst off. The boat at 3:1 carries less "
            "because its anchor gives way.",
            "Ask what the anchor feels: the load and its angle. Scope changes the angle first.",
        ),
        (cautions.SETTING, cautions.CHAIN_RUNS_AWAY),
    ),
    "rodes": Text(
        "Chain, rope, combination",
        "30 kn gusting 42, 5:1. How high is the peak load on all chain, compared with rope?",
        lambda boat, system: {
            "chain": "all chain",
            "combination": _metres(10.0, system, "rope with {} of chain"),
            "rope": _metres(2.0, system, "rope with {} of chain"),
        }[boat.key],
        _rodes,
        {
            "breeze": (f"Try it in {_BREEZE}", "Now the chain lies: no uplift on chain, most of it on rope."),
            "longer": ("Try 8:1", "Chain gains more from scope than rope does, and the loads come closer."),
        },
        (
            "Expected mistake: heavy chain lowers the load. Its weight keeps the uplift down, while some of it lies.",
            "Chain has other merits: it does not chafe on the bottom, and in light wind the boat swings less.",
        ),
        (cautions.UNDER_LOAD, cautions.CHAIN_RUNS_AWAY),
    ),
    "snubber": Text(
        "The snubber, in gusts and in waves",
        "Chain in shallow water with a short sea, 30 kn gusting 42. What is left of the peak load with a long snubber?",
        lambda boat, system: {
            "bare, gusts": "bare chain, gusts",
            "snubber, gusts": _metres(8.0, system, "{} snubber, gusts"),
            "bare, sea": "bare chain, sea",
            "snubber, sea": _metres(8.0, system, "{} snubber, sea"),
        }[boat.key],
        _snubber,
        {
            "deep": (
                "Try it in deep water",
                "The chain itself can give way, and the snubber gains far less.",
            ),
            "thick": ("Try a thick snubber", "It stretches less, and the peak load rises a little."),
        },
        (
            "Expected mistake: the snubber only saves the windlass. In a shallow anchorage with a sea it more than halves the load.",
            "In sheltered deep water bare chain does nearly as well. The windlass must not carry the load there either.",
        ),
        (cautions.SNUBBER_TAKES_LOAD,),
    ),
    "sheering": Text(
        "Why the boat sheers",
        "20 kn. What is left of the boat's sheering with a riding sail aft?",
        _named({"plain": "as it is", "sail": "riding sail aft", "bridle": "snubber with two legs"}),
        _sheering,
        {
            "cruiser": (
                "Try a motor cruiser",
                "More windage and a smaller keel: it sheers more, and the sail helps less.",
            ),
            "light": ("Try it in 10 kn", "The boat sheers as widely in light wind, only more slowly."),
        },
        (
            "Expected mistake: a sheering boat has too little scope. More scope hardly changes how widely it sheers.",
            "Ask where the wind pushes and where the rode pulls. The boat lies still when the wind pushes farther aft.",
        ),
        (cautions.FLOGGING_SAIL, cautions.SNUBBER_TAKES_LOAD),
    ),
    "tide": Text(
        "The tide takes scope",
        "Anchored at 5:1 at low water. The tide makes it 3:1. How many times as large is the uplift?",
        _named(
            {
                "low water": "low water, 5:1",
                "half tide": "half tide, 4:1",
                "high water": "high water, 3:1",
                "let out": "high water, let out to 5:1",
            }
        ),
        _tide,
        {
            "rope": ("Try a rope rode", "The uplift starts higher on rope, and grows in the same way."),
            "heavy": (_TWICE, "It drags less, but the uplift is as large as before."),
        },
        (
            "Expected mistake: scope is set once, when anchoring. It is set for the highest water of the stay.",
            "Let the class work the sum: rode out, divided by depth and tide and the height of the bow roller.",
        ),
        (cautions.CHAIN_RUNS_AWAY, cautions.LOADED_RODE),
    ),
    "squall": Text(
        "A squall from the other side",
        "A squall of 35 kn from astern. Of 100 anchors that it drags, how many go far and do not dig in again?",
        _named({"ahead": "from ahead", "abeam": "from abeam", "astern": "from astern"}),
        _squall,
        {
            "heavy": ("Try an anchor of 1.5 times the weight", "Fewer anchors drag, and they dig in sooner."),
            "mud": ("Try it in soft mud", "Nearly all drag, and most of them as long as the squall lasts."),
        },
        (
            "Expected mistake: what counts is the direction. Here the strength of the squall counts.",
            "Say what is left out: this anchor does not turn out or foul as the boat sails over it.",
        ),
        (cautions.DRAGGING, cautions.OVERBOARD),
    ),
    "neighbours": Text(
        "Neighbours on different rodes",
        "6 kn, veering 120°. How near does a neighbour on rope come, compared with one on the same chain?",
        _named(
            {
                "chain": "we, chain at 5:1",
                "same": "neighbour on the same chain",
                "rope": "neighbour on rope at 7:1",
            }
        ),
        _neighbours,
        {
            "blow": (
                "Try it in 25 kn gusting 35",
                "The boats swing together and stay farther apart. They come closest in light wind.",
            ),
            "long": (
                "Try 7:1 on all three",
                "The gap grows, but they still swing differently: chain stops half way round, rope does not.",
            ),
        },
        (
            "Expected mistake: boats in the same wind swing alike. They do on like rodes.",
            "Ask how the neighbour is anchored before you anchor: rode, length, and when it arrived.",
        ),
        (cautions.POSITIONS,),
    ),
    "weakest": Text(
        "The weakest link",
        "One shackle is pitted by rust. What is left of the safety factor of all the gear?",
        _named(
            {"new": "all as new", "pitted": "one pitted shackle", "big chain": "pitted shackle, bigger chain"}
        ),
        _weakest,
        {
            "gale": (
                "Try it in 30 kn gusting 42",
                "The loads rise. The pitted shackle costs the same share of the safety factor.",
            ),
            "longer": ("Try a longer snubber", "It lowers the load on all parts, the weakest one too."),
        },
        (
            "Expected mistake: stronger chain makes the gear stronger. The weakest part alone decides.",
            "What rust leaves of a shackle is our estimate, with a wide range. Renew it rather than reckon.",
        ),
        (cautions.UNDER_LOAD, cautions.NOT_FIT),
    ),
    "chance": Text(
        "What nobody knows",
        "One boat, one forecast of 30 kn gusting 42. In how many of 100 spells does the anchor drag?",
        _spell,
        _chance,
        {
            "less": ("Try it in 25 kn gusting 35", "Fewer drag. None of a few spells is still no proof."),
            "heavy": (_TWICE, "The whole range of holding moves up, and few or none drag."),
        },
        (
            "Expected mistake: it held last time, so it holds. Three of these four boats could say so.",
            "Let each of the class take one spell, and count hands. That is what the figure counts.",
        ),
        (cautions.DRAGGING,),
    ),
}
