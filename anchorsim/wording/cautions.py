"""The safety sentences: each once, with its signal word, and where it belongs.

Each names the hazard with its consequence, then how to avoid it, in the manner of ANSI Z535 and ISO 3864.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

Signal = Literal["DANGER", "WARNING", "CAUTION", "NOTICE"]


class Caution(NamedTuple):
    """A safety sentence and its signal word."""

    signal: Signal
    text: str

    def __str__(self) -> str:
        return f"{self.signal} {self.text}"


# --- Wherever gear is inspected -----------------------------------------------------------------------------

UNDER_LOAD = Caution(
    "WARNING",
    "A rode under load can whip back and kill: inspect only with the gear unloaded, ashore or alongside.",
)
RUST_CHIPS = Caution("CAUTION", "Rust and zinc chips can injure eyes: wear eye protection and gloves.")
DYE = Caution(
    "CAUTION", "Dye and cleaner harm skin and lungs: wear gloves and work in the open air."
)  # crack tests with dye penetrant
HEAT = Caution(
    "WARNING",
    "Heated zinc and paint give off harmful fume, and heat weakens hardened steel: do not burn, heat or weld "
    "ground tackle.",
)
GOING_ASTERN = Caution(
    "WARNING",
    "The rode loads up at once when the engine goes astern: nobody forward of the windlass or in line with "
    "the rode.",
)

# --- By part ------------------------------------------------------------------------------------------------

ANCHOR_SLIPS = Caution(
    "CAUTION",
    "An anchor that slips can crush hands and feet: secure it before you work on it and lift it with help or "
    "a block and tackle.",
)
OVER_THE_BOW = Caution(
    "WARNING",
    "Leaning over the bow can put you in the water: work alongside where you can, else clip on and have a "
    "second person by.",
)
RUNNING_CHAIN = Caution(
    "WARNING",
    "Running chain takes fingers and feet with it: wear gloves and closed shoes, stand clear of the chain, "
    "never in a bight.",
)
LOOSE_FITTING = Caution(
    "WARNING", "A loose fitting can fly out when levered: no rode on it, hands and faces clear."
)
WINDLASS_STARTS = Caution(
    "WARNING",
    "A windlass can start by itself and crush a hand: isolate it at its breaker before you touch chain, "
    "gypsy or wiring.",
)
CIRCUITS = Caution(
    "WARNING",
    "Windlass circuits carry enough current to burn and start a fire: switch off and check that it is dead "
    "before you open a cover.",
)
CUTTING = Caution(
    "WARNING",
    "Cutting a loaded rode lets it fly: ease the load with the engine, cut on deck, stand to one side.",
)
ELECTRICIAN = "Have a competent electrician do this work."

# --- Results ------------------------------------------------------------------------------------------------

NOT_FIT = Caution(
    "WARNING",
    "Not fit for use. It can fail under load. Do not anchor on it until it is replaced or repaired.",
)
FOR_COMPARING = Caution(
    "NOTICE",
    "For comparing choices only. Makers' instructions, local rules and the skipper's judgement come first.",
)

_ON_PART = {
    "anchor": (ANCHOR_SLIPS,),
    "second anchor": (ANCHOR_SLIPS,),
    "chain": (RUNNING_CHAIN,),
    "lead": (OVER_THE_BOW,),
    "windlass": (WINDLASS_STARTS,),
    "gypsy": (WINDLASS_STARTS,),
    "bitter end": (CUTTING,),
}
_ON_FINDING = {
    "anchor shank bent": (HEAT,),
    "anchor fluke bent": (HEAT,),
    "anchor tip blunt": (RUST_CHIPS,),
    "anchor weld cracked": (RUST_CHIPS, DYE),
    "anchor shackle hole worn": (HEAT,),
    "anchor hidden by coating": (HEAT,),
    "anchor jams in its roller": (OVER_THE_BOW,),
    "second anchor rusted": (RUST_CHIPS,),
    "shackle worn": (RUST_CHIPS,),
    "shackle rusted": (RUST_CHIPS,),
    "swivel worn": (RUST_CHIPS,),
    "chain link worn": (RUST_CHIPS,),
    "chain rusted": (RUST_CHIPS,),
    "chain link cracked": (RUST_CHIPS, DYE),
    "chain coated": (HEAT,),
    "snubber hitch slips": (GOING_ASTERN,),
    "lead loose": (LOOSE_FITTING,),
    "strong point loose": (LOOSE_FITTING,),
    "deck soft at the strong point": (LOOSE_FITTING,),
    "cleat cracked": (DYE,),
    "windlass brake slips": (GOING_ASTERN,),
    "windlass loose": (LOOSE_FITTING,),
    "windlass terminals corroded": (CIRCUITS,),
    "windlass switch cracked": (CIRCUITS,),
    "windlass breaker missing": (CIRCUITS,),
    "bitter end eye corroded": (RUST_CHIPS,),
}
WIRING = ("windlass terminals corroded", "windlass switch cracked")  # the breaker's remedy says so itself


def on_part(part: str) -> tuple[Caution, ...]:
    """What to mind before a part is inspected, by its name in ``data/parts.csv``."""
    return _ON_PART.get(part, ())


def on_finding(kind: str) -> tuple[Caution, ...]:
    """What to mind when a kind of finding is checked or repaired, by its key."""
    return _ON_FINDING.get(kind, ())
