"""What to do, in words: one change, or several made together."""

from __future__ import annotations

from anchorsim.core.units import System, quantity, show
from anchorsim.planning.measures import Candidate
from anchorsim.wording.amounts import length, lower, mass, scope, with_article
from anchorsim.wording.cautions import Caution, on_measure
from anchorsim.wording.terms import local

_STEPS = {
    "let out": "Let out rode to {scope} ({length})",
    "let out all": "Let out all the rode, {scope} ({length})",
    "shorten": "Shorten scope to {scope} ({length})",
    "spare rope": "Rig {amount} of the {names[0]} rope aboard as a snubber",
    "second anchor": "Use the second anchor ({amount} {names[0]}) instead",
    "riding sail": "Set a riding sail of about {amount} on the backstay, sheeted flat",
    "new snubber": "Fit {a} snubber of {names[0]} {names[1]}",
    "longer snubber": "Fit {a} snubber of {names[0]} rope",
    "thicker snubber": "Fit {a} snubber of the same length",
    "heavier anchor": "Fit {a} {names[0]} anchor",
    "other anchor": "Replace the {names[0]} with {a} {names[1]} anchor",
    "longer": "Lengthen the {names[0]} to {length} and let it all out, {scope}",
    "heavier chain": "Fit {names[0]} chain of the same grade, with a gypsy and joining link to match",
    "thicker rope": "Fit {names[0]} rope",
}
_CARE = {
    "let out all": "First check that the bitter end is secured and there is room",
    "shorten": "Only where room runs out: the anchor holds less",
    "second anchor": "Change over before the wind rises",
    "riding sail": "A storm jib serves only if set there, never at the bow",
    "other anchor": "Check that roller and windlass can take it",
}


def action(found: Candidate, system: System = "metric") -> str:
    """What to do, an imperative with its amount, and then what to take care of."""
    care = [_CARE[one.kind] for one in found.of or (found,) if one.kind in _CARE]
    return ". ".join([steps(found, system), *care])


def steps(found: Candidate, system: System = "metric") -> str:
    """What to do alone, in one sentence; several changes as a list."""
    if found.kind == "together":
        first, *rest = (steps(one, system) for one in found.of)
        return "; ".join([first, *(lower(one) for one in rest)])
    if found.kind == "remedy":
        part, remedy = found.names
        return local(f"{remedy.rstrip('.')} ({lower(part)})", system)
    return local(_STEPS[found.kind].format(names=found.names, **_amounts(found, system)), system)


def _amounts(found: Candidate, system: System) -> dict[str, str]:
    """The amounts of one change, by their names in its words; ``a`` is the one amount with its article."""
    match found.kind:
        case "let out" | "let out all" | "shorten":
            return {"scope": scope(found.amounts[0]), "length": length(found.amounts[1], system)}
        case "longer":
            return {"length": length(found.amounts[0], system), "scope": scope(found.amounts[1])}
        case "spare rope" | "new snubber" | "longer snubber":
            amount = length(found.amounts[0], system)
        case "second anchor" | "heavier anchor" | "other anchor":
            amount = mass(found.amounts[0], system)
        case "riding sail":
            amount = show(quantity(found.amounts[0], "m²"), "m²", system, 2)
        case _:
            amount = found.names[0]
    return {"amount": amount, "a": with_article(amount)}


def cautions(found: Candidate) -> tuple[Caution, ...]:
    """What to mind when it is done, each once."""
    kinds = [one.kind for one in found.of or (found,)]
    return tuple(dict.fromkeys(caution for kind in kinds for caution in on_measure(kind)))


def where(found: Candidate | None) -> str:
    """Where it can be done."""
    return "Aboard now" if found is None or found.source == "aboard" else "To buy or have done ashore"
