"""What does not fit and what cures it, in sentences: one pair for each rule."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from anchorsim.core.units import System
from anchorsim.strength.compatibility import Misfit
from anchorsim.survey.suitability import AnchorFit
from anchorsim.wording import amounts, suitability
from anchorsim.wording.terms import local

_JOIN = "Fit a double-jaw link of the chain's size and grade."
_SPLICE = "Splice an eye round a thimble and shackle it to the chain."
_RESPLICE = "Resplice the eye round a thimble of the rope's size."
_GYPSY = "Fit the matching gypsy before use."
_SNUBBER = "Rig a snubber of {snubber} or more to a strong point."
_LASHING = "Secure it with a lashing that reaches the deck and can be cut there."

_RULES = {  # sentence and remedy of each, with the names of the misfit's facts
    "pin too thick": (
        "The pin of the {size} shackle ({pin}) does not fit the chain link ({width} inside).",
        "Fit a shackle of {suits}, with a WLL no less than the chain's.",
    ),
    "shackle too thin": (
        "The {size} shackle is thinner than the {link} chain.",
        "Fit a shackle of {suits}, with a WLL no less than the chain's.",
    ),
    "swivel too small": ("The {size} swivel is smaller than the {link} chain.", "Fit a swivel of {suits}."),
    "no swivel large enough": (
        "The {size} swivel is smaller than the {link} chain.",
        "Remove it: a rode works without a swivel.",
    ),
    "swivel reversed": (
        "The swivel's jaw is on the anchor shank, where a side load can prise it open.",
        "Turn it round: jaw to the chain, eye to the anchor shackle.",
    ),
    "quick link": (
        "A quick link is a temporary repair. It is about 60 % bulkier than the link it is sized for.",
        _JOIN,
    ),
    "riveted": ("The strength of a riveted link depends on its riveting, which cannot be inspected.", _JOIN),
    "chain shackle": (
        "A shackle in the chain does not run through the gypsy: it can jam or jump.",
        _JOIN,
    ),
    "knot": (
        "The rope is knotted to the chain: the {knot} leaves {low} to {high} % of its strength.",
        _SPLICE,
    ),
    "thimble too small": (
        "The thimble is made for {thimble} rope. In {rope} rope it is too small and pinches the rope.",
        _RESPLICE,
    ),
    "thimble too large": (
        "The thimble is made for {thimble} rope. In {rope} rope it is too large and works loose in the eye.",
        _RESPLICE,
    ),
    "rope too thick for the link": (
        "{rope} rope is too thick to be spliced through links of {link}.",
        _SPLICE,
    ),
    "rope too thin for the link": ("{rope} rope is too thin to be spliced to links of {link}.", _SPLICE),
    "gypsy of another size": (
        "WARNING The gypsy is for {gypsy} chain; the chain is {link}. The chain can jump and run out.",
        _GYPSY,
    ),
    "gypsy of another pitch": (
        "WARNING The gypsy is for links of {gypsy_pitch} pitch ({standard}); the chain's are {pitch}. The "
        "chain can jump and run out.",
        _GYPSY,
    ),
    "bend too tight": (
        "{rope} rope bends over the {lead} on a radius of {radius}.",
        "Fit a lead with a radius of {least_radius} or more.",
    ),
    "strong point too weak": (
        "The {fitting} is rated for about {rated}. ISO 15084 asks for {needed} at this length.",
        "Fit a {fitting} rated for {needed}, through-bolted on a backing plate.",
    ),
    "windlass alone": ("The chain has no snubber: the windlass alone takes the load.", _SNUBBER),
    "rope on the windlass": (
        "The windlass alone holds the rope.",
        "Make the rope fast to a strong point, with no load on the windlass.",
    ),
    "no snubber": ("The chain has no snubber: nothing absorbs snatch loads.", _SNUBBER),
    "bitter end not secured": (
        "The bitter end is not secured: the rode and anchor can run out and be lost.",
        _LASHING,
    ),
    "bitter end cannot be slipped": ("The bitter end cannot be cut on deck.", _LASHING),
    **suitability.RULES,
}
_ADRIFT = "It can fail under load and leave the boat adrift."
_RISKS = {
    "pin too thick": "Forced in, the pin jams or bends the link.",
    "shackle too thin": _ADRIFT,
    "swivel too small": _ADRIFT,
    "no swivel large enough": _ADRIFT,
    "swivel reversed": _ADRIFT,
    "quick link": "It can open or break, and jam in the gypsy.",
    "riveted": _ADRIFT,
    "chain shackle": "The chain jumps off the gypsy and runs out.",
    "knot": "The rope parts at the knot, or the knot jams in the lead.",
    "thimble too small": "The rope is crushed and parts at the eye.",
    "thimble too large": "Steel chafes the rope in the eye.",
    "rope too thick for the link": "The splice is poor and draws under load.",
    "rope too thin for the link": "The rope bends too sharply in the link and parts.",
    "gypsy of another size": "Chain that runs out cannot be stopped by hand.",
    "gypsy of another pitch": "Chain that runs out cannot be stopped by hand.",
    "bend too tight": "The rope is weaker at the bend and chafes there.",
    "strong point too weak": "It can tear out of the deck.",
    "windlass alone": "Snatch loads reach its shaft and clutch, which can let go.",
    "rope on the windlass": "Snatch loads reach its shaft and clutch, which can let go.",
    "no snubber": "Snatch loads break gear and pull the anchor out.",
    "bitter end not secured": "All of the rode can run out and be lost.",
    "bitter end cannot be slipped": "In an emergency the rode cannot be slipped.",
    **suitability.RISKS,
}
_SHOWN: dict[str, Callable[[Any, System], str]] = {  # how the amounts among the facts are told
    **dict.fromkeys(("pin", "width", "gypsy_pitch", "pitch"), amounts.size),
    **dict.fromkeys(("link", "rope", "least_radius"), amounts.nominal),
    **dict.fromkeys(("snubber", "depth", "least", "aboard", "lead", "wanted"), amounts.length),
    **dict.fromkeys(("rated", "needed"), amounts.force),
    **dict.fromkeys(("low", "high"), lambda share, _: amounts.percent(share).removesuffix(" %")),
    **dict.fromkeys(("mass", "code_mass", "needed_mass"), amounts.mass),
    "scope": lambda scope, _: f"{scope:.2g}",
}


def sentence(misfit: Misfit, system: System) -> str:
    """What does not fit, in sentences."""
    return local(_RULES[misfit.rule][0].format(**_facts(misfit, system)), system)


def risk(misfit: Misfit, system: System) -> str:
    """What can happen by it, in sentences."""
    return local(_RISKS[misfit.rule], system)


def remedy(misfit: Misfit, system: System) -> str:
    """What to do about it, in sentences."""
    return local(_RULES[misfit.rule][1].format(**_facts(misfit, system)), system)


def _facts(misfit: Misfit, system: System) -> dict[str, str]:
    return {name: _amount(name, value, system) for name, value in misfit.facts}


def _amount(name: str, value: Any, system: System) -> str:
    if isinstance(value, AnchorFit):
        return suitability.anchor(value, system)
    return _SHOWN[name](value, system) if isinstance(value, int | float) else str(value)
