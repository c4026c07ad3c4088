"""The safety sentences: each once, with its signal word, and where it belongs.

Each names the hazard with its consequence, then how to avoid it, in the manner of ANSI Z535 and ISO 3864.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

from anchorsim.core.units import System
from anchorsim.wording.terms import local

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

HAULING = Caution(
    "WARNING",
    "Chain under load can jump off the gypsy: keep hands off and everyone clear while the windlass hauls.",
)
CRACKED = Caution(
    "WARNING", "it has no safety factor and can break at any load. Do not anchor on it until it is renewed."
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

# --- Advice -------------------------------------------------------------------------------------------------

SETTING = Caution(
    "WARNING",
    "A sudden load can throw people on the foredeck: set the anchor by going astern slowly, then raise the "
    "revs, with everyone aft of the rode.",
)
CHAIN_RUNS_AWAY = Caution(
    "WARNING",
    "Chain that runs away cannot be stopped by hand: control it with the brake, and check that the bitter "
    "end is secured.",
)
SNUBBER_TAKES_LOAD = Caution(
    "WARNING",
    "Fingers can be trapped when the snubber takes load: hook on with the chain slack, then ease chain out "
    "with the windlass, hands clear.",
)
LOADED_RODE = Caution(
    "WARNING",
    "A loaded rode cannot be held by hand: take the load off by motoring gently ahead, or lead a second line "
    "to a winch.",
)
FLOGGING_SAIL = Caution(
    "CAUTION", "A flogging sail can injure: set it before the wind rises, with the sheet led first."
)

# --- Dragging, staying and leaving --------------------------------------------------------------------------

DRAGGING = Caution(
    "WARNING",
    "A dragging boat leaves little time: have the engine running, lifejackets on and a clear way out.",
)
OVERBOARD = Caution(
    "WARNING",
    "A person lost overboard at night is seldom found: wear a lifejacket and clip on whenever you go on deck.",
)
LEAVING = Caution(
    "WARNING",
    "Leaving late can be worse than staying: leave with daylight, engine tested and a harbour you can enter "
    "in that wind.",
)


def leaving(time: str) -> Caution:
    """What to mind when the boat leaves before a time."""
    text = LEAVING.text.replace("leave with daylight", f"leave before {time}, with daylight")
    return LEAVING._replace(text=text)


def staying(time: str) -> Caution:
    """What to mind on a boat that stays, over her limit from a time on."""
    return Caution(
        "WARNING",
        f"You are above your limit from {time}: keep an anchor watch, tell someone ashore, and be ready to "
        "slip the rode, buoyed.",
    )


def forecast_of(time: str) -> Caution:
    """That a forecast, by its first time, may be out of date."""
    return Caution("NOTICE", f"Forecast from {time}: get a newer one before you rely on it.")


# --- Results ------------------------------------------------------------------------------------------------

POSITIONS = Caution(
    "NOTICE",
    "Positions are no better than the chart and your fix: check the circle by eye, by bearings and by depth.",
)
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
_CRACK = CRACKED._replace(text=f"Where it is cracked {CRACKED.text}")
_ON_FINDING = {
    "anchor shank bent": (HEAT,),
    "anchor fluke bent": (HEAT,),
    "anchor tip blunt": (RUST_CHIPS,),
    "anchor weld cracked": (_CRACK, RUST_CHIPS, DYE),
    "anchor shackle hole worn": (HEAT,),
    "anchor hidden by coating": (HEAT,),
    "anchor jams in its roller": (OVER_THE_BOW, RUNNING_CHAIN),
    "second anchor rusted": (RUST_CHIPS,),
    "shackle worn": (RUST_CHIPS,),
    "shackle rusted": (RUST_CHIPS,),
    "swivel worn": (RUST_CHIPS,),
    "chain link worn": (RUST_CHIPS,),
    "chain rusted": (RUST_CHIPS,),
    "chain link cracked": (_CRACK, RUST_CHIPS, DYE),
    "chain coated": (HEAT,),
    "snubber hitch slips": (GOING_ASTERN,),
    "lead loose": (LOOSE_FITTING,),
    "strong point loose": (LOOSE_FITTING,),
    "deck soft at the strong point": (LOOSE_FITTING,),
    "cleat cracked": (_CRACK, DYE),
    "windlass brake slips": (GOING_ASTERN,),
    "windlass loose": (LOOSE_FITTING,),
    "gypsy worn": (HAULING,),
    "stripper missing": (HAULING,),
    "bitter end loose": (RUNNING_CHAIN,),
    "bitter end tied off": (RUNNING_CHAIN,),
    "joining link rusted": (RUST_CHIPS,),
    "snubber hook rusted": (RUST_CHIPS,),
    "windlass terminals corroded": (CIRCUITS,),
    "windlass switch cracked": (CIRCUITS,),
    "windlass breaker missing": (CIRCUITS,),
    "windlass switch cover perished": (CIRCUITS,),
    "windlass cables worn": (CIRCUITS,),
    "drum burred": (WINDLASS_STARTS,),
    "windlass gearbox worn": (WINDLASS_STARTS,),
    "windlass handle missing": (WINDLASS_STARTS,),
    "windlass casing cracked": (WINDLASS_STARTS,),
    "chain dragged over rock": (RUST_CHIPS,),
    "anchor chosen by lift": (ANCHOR_SLIPS,),
    "roller burred": (OVER_THE_BOW,),
    "bitter end eye corroded": (RUST_CHIPS,),
}
_ON_MEASURE = {
    "let out": (CHAIN_RUNS_AWAY,),
    "let out all": (CHAIN_RUNS_AWAY,),
    "longer": (CHAIN_RUNS_AWAY,),
    "shorten": (LOADED_RODE,),
    "spare rope": (SNUBBER_TAKES_LOAD,),
    "new snubber": (SNUBBER_TAKES_LOAD,),
    "longer snubber": (SNUBBER_TAKES_LOAD,),
    "thicker snubber": (SNUBBER_TAKES_LOAD,),
    "second anchor": (LOADED_RODE, SETTING),
    "heavier anchor": (SETTING,),
    "other anchor": (SETTING,),
    "riding sail": (FLOGGING_SAIL,),
}
WIRING = (  # the breaker's remedy says so itself
    "windlass terminals corroded",
    "windlass switch cracked",
    "windlass switch cover perished",
    "windlass cables worn",
)


def on_part(part: str, system: System = "metric") -> tuple[Caution, ...]:
    """What to mind before a part is inspected, by its name in ``data/parts.csv``."""
    return tuple(one._replace(text=local(one.text, system)) for one in _ON_PART.get(part, ()))


def on_measure(kind: str) -> tuple[Caution, ...]:
    """What to mind when a change is made, by its kind in ``planning.measures``."""
    return _ON_MEASURE.get(kind, ())


def on_finding(kind: str) -> tuple[Caution, ...]:
    """What to mind when a kind of finding is checked or repaired, by its key."""
    return _ON_FINDING.get(kind, ())
