"""Whether anchors and rode are large and long enough, in sentences."""

from __future__ import annotations

import math

from anchorsim.core.units import System
from anchorsim.survey.suitability import AnchorFit
from anchorsim.wording import amounts
from anchorsim.wording.terms import local

RULES = {  # sentence and remedy of each, with the names of the misfit's facts
    "anchor too light": (
        "{fit}",
        "Fit a {type} anchor of {mass} or more: {code_mass} by the code for small commercial vessels, "
        "{needed_mass} to hold the highest load of the spells on {bottom}. Check that roller and windlass can "
        "take it.",
    ),
    "no anchor heavy enough": (
        "{fit}",
        "No anchor the boat can carry holds reliably here. Choose more shelter or a better bottom. Add scope "
        "where there is room.",
    ),
    "poor on this bottom": (
        "A {own} anchor holds poorly in {bottom}.",
        "Fit a {type} anchor of {mass} or more, or anchor elsewhere: {code_mass} by the code for small "
        "commercial vessels, {needed_mass} to hold the highest load of the spells on {bottom}.",
    ),
    "no second anchor": (
        "No second anchor aboard.",
        "Carry a {other} anchor of {mass} with a rode of its own.",
    ),
    "both anchors alike": (
        "Both anchors are of the {type} type: a bottom that defeats one defeats both.",
        "Carry a {other} anchor as the second.",
    ),
    "rode too short": (
        "In {depth} of water the boat needs at least {least} of rode. Aboard is {aboard}, {scope}:1.",
        "Carry more {part}.",
    ),
    "no chain lead": (
        "Rope is made fast to the anchor with no chain between.",
        "Fit a chain lead of {wanted}, a boat's length: rope chafes on the bottom.",
    ),
    "chain lead too short": (
        "The chain lead is {lead} long. A boat's length, {wanted}, is usual.",
        "Lengthen the chain lead to {wanted}: it lies flat and saves the rope from chafe.",
    ),
}
RISKS = {
    "anchor too light": "It drags in less wind than it should, and the boat goes ashore.",
    "no anchor heavy enough": "The anchor drags, and the boat goes ashore.",
    "poor on this bottom": "It drags in less wind than it should, and the boat goes ashore.",
    "no second anchor": "If the anchor is lost or fouled there is no other.",
    "both anchors alike": "Neither may hold on the next bottom.",
    "rode too short": "The anchor is lifted and drags.",
    "no chain lead": "The rope chafes on the bottom and parts.",
    "chain lead too short": "The anchor is lifted sooner, and the rope chafes on the bottom.",
}


def anchor(found: AnchorFit, system: System) -> str:
    """What the code asks for and what holds here, and whether the anchor was chosen by what can be lifted."""
    weight, code = amounts.mass(found.mass, system), amounts.mass(math.ceil(found.code_mass - 1e-9), system)
    said = [f"Anchor {weight}. The code for small commercial vessels asks for {code} at this length."]
    said.append(f"Peak load {amounts.force(found.pull.high, system)}, the highest of the spells.")
    if math.isfinite(found.needed_mass):
        held = amounts.force(found.holding[0], system)
        said.append(f"Nine in ten such anchors hold {held} or more here.")
        said.append(_enough(found, system))
    else:
        said.append(f"Do not count on any holding on {found.bottom}.")
    if found.sized_by_lift:
        lift = amounts.mass(found.crew_lift, system)
        said.append(f"Its weight suits what the crew can lift ({lift}), not what the boat needs.")
        said.append("Fit the heavier anchor and lift it with a windlass or a block and tackle.")
    return local(" ".join(said), system)


def _enough(found: AnchorFit, system: System) -> str:
    if found.by_load:
        return "One in ten may drag."
    if not found.carriable:
        return f"No {found.type} the boat can carry is heavy enough here."
    return f"At {amounts.mass(math.ceil(found.needed_mass - 1e-9), system)} nine in ten hold this load."
