"""What happened in one spell, said once: each word with its one definition."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from anchorsim.core.amount import Amount
from anchorsim.core.display import Facts, Tabled

Ending = Literal["held", "crept", "dragged", "may have broken", "broke"]
What = Literal[
    "held", "crept", "dragged", "may have broken", "broke",
    "aground", "touched", "outside", "out of room", "overloaded", "failed",
]  # fmt: skip

ENDINGS: tuple[Ending, ...] = get_args(Ending)
FAILS: frozenset[Ending] = frozenset(("dragged", "may have broken", "broke"))
SELDOM = 0.05  # share of spells that a bad one stands for: one in twenty is worse
LIMIT = 0.05  # chance of failing in a spell that is accepted unless another is given (judgement)


@dataclass(frozen=True, slots=True)
class OutcomeSI:
    """The amounts of one spell as SI floats: see :class:`Outcome`; m, N, rad."""

    drag: float
    peak_load: float
    peak_anchor_load: float
    uplift: float
    radius: float
    water: float


@dataclass(frozen=True, slots=True, repr=False)
class Outcome(Tabled):
    """What one spell came to.

    Attributes
    ----------
    number : int
        That of the spell.
    ending : {"held", "crept", "dragged", "may have broken", "broke"}
        The gravest that holds, in rising order: the anchor held (it moved by less than 0.1 m), crept (less
        than 1 m) or dragged (1 m or more: ``anchor_travel``); some part may have broken (its load passed the
        least strength that it may have left) or broke (it passed the likely strength).
    gave_way : tuple of str
        Parts that may have broken or broke, from the anchor aft.
    hit, grounded_on : tuple of str
        Dangers and neighbours that she touched; shoals, a shelving bottom among them, that she touched at low
        water or with no more water over them than she draws.
    outside : bool
        Whether any part of her left the clear radius.
    overloaded : bool
        Whether some part carried more than its WLL.
    drag : quantity
        How far the anchor ended from where it was set.
    peak_load, peak_anchor_load : quantity
        At the bow and at the anchor.
    uplift : quantity
        Greatest at the anchor.
    radius : quantity
        Farthest that any part of her came from where the anchor was set.
    water : quantity
        Least depth under her in the tide of now.
    touched, aground, out_of_room, failed : bool
        Whether she hit something; went aground; did either or left the clear radius; did any of these, or
        dragged, or gear may have broken.
    si : OutcomeSI
        The same as SI floats: m, N, rad.

    Examples
    --------
    >>> from anchorsim import Scenario, assess
    >>> outcome = assess(Scenario(), count=2).outcomes[0]
    >>> f"{outcome.peak_load.to('kN'):.1f~P}"
    '2.1 kN'
    >>> outcome
    <Outcome: spell 0, ending held, drag 0 m, peak load at the bow 2.1 kN, swinging radius 49 m>
    """

    number: int
    ending: Ending
    gave_way: tuple[str, ...]
    hit: tuple[str, ...]
    grounded_on: tuple[str, ...]
    outside: bool
    overloaded: bool
    si: OutcomeSI

    drag = Amount("m")
    peak_load = Amount("N")
    peak_anchor_load = Amount("N")
    uplift = Amount("radian")
    radius = Amount("m")
    water = Amount("m")

    def _facts(self) -> Facts:
        things = (("gave way", self.gave_way), ("hit", self.hit), ("aground on", self.grounded_on))
        return [
            ("spell", str(self.number)),
            ("ending", self.ending),
            *((name, " and ".join(met)) for name, met in things if met),
            ("drag", f"{self.si.drag:.2g} m"),
            ("peak load at the bow", f"{self.si.peak_load / 1e3:.2g} kN"),
            ("swinging radius", f"{self.si.radius:.2g} m"),
        ]

    @property
    def touched(self) -> bool:
        """Whether she hit a danger or a neighbour."""
        return bool(self.hit)

    @property
    def aground(self) -> bool:
        """Whether she took the ground."""
        return bool(self.grounded_on)

    @property
    def failed(self) -> bool:
        """Whether the anchor dragged, gear may have broken, or she hit something, went aground or outside."""
        return self.ending in FAILS or self.out_of_room

    @property
    def out_of_room(self) -> bool:
        """Whether she hit something, went aground or left the clear radius."""
        return self.touched or self.aground or self.outside

    def is_(self, what: What) -> bool:
        """Whether a word (``what``) holds of it: an ending, which exclude each other, or one of the rest."""
        return self.ending == what if what in ENDINGS else bool(getattr(self, what.replace(" ", "_")))
