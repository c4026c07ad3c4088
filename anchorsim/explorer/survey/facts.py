"""What a part is: its size, grade and the like, as controls bound to paths in the scenario."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Sequence

import ipywidgets as widgets

from anchorsim.core.tables import Row, table
from anchorsim.core.units import Quantity, System, quantity, si
from anchorsim.explorer.controls import LEGS, Changes, Control, chains, choice, mean_wind, ropes, slider
from anchorsim.explorer.parts.amount import Amount
from anchorsim.scenario.scenario import Scenario

_LAYOUT = {"width": "auto"}
_PICTURES = (".png", ".jpg", ".jpeg")
_BESIDE = "beside this survey's file"
_STYLE = {"description_width": "140px"}


def sizes(path: str, label: str, rows: Callable[[Scenario], Sequence[Row]], suits: str) -> Control:
    """A drop-down list of the sizes in a part's table, with ``suits`` for one that nobody recorded."""
    widget = widgets.Dropdown(description=label, options=[], layout=_LAYOUT, style=_STYLE)

    def show(scenario: Scenario, system: System) -> None:
        held: Quantity = scenario.get(path)
        diameters = [(str(row["size"]), float(row["diameter"])) for row in rows(scenario)]
        widget.options = [(suits, 0.0), *diameters]
        nearest = min(diameters, key=lambda size: abs(size[1] - si(held)), default=("", 0.0))
        widget.value = nearest[1] if si(held) else 0.0

    return Control(path, widget, lambda: {path: quantity(widget.value or 0.0, "m")}, show)


def resetting(control: Control, *paths: str) -> Control:
    """A choice on which other fields hang: choosing anew puts those back to what suits."""
    return Control(
        control.path, control.widget, lambda: {**control.changes(), **dict.fromkeys(paths)}, control.show
    )


def counted(path: str, label: str, numbers: Sequence[int]) -> Control:
    """A drop-down list of whole numbers."""
    return choice(path, label, [(str(number), number) for number in numbers])


def day(name: str, label: str, otherwise: Callable[[], datetime.date | None] = lambda: None) -> Control:
    """A date of the survey or its log; ``otherwise`` gives the day that goes without saying, if any."""
    path = f"survey.{name}"
    widget = widgets.DatePicker(description=label, layout=_LAYOUT, style=_STYLE)

    def show(scenario: Scenario, system: System) -> None:
        held: datetime.date | None = scenario.get(path)
        widget.value = held or otherwise()

    return Control(path, widget, lambda: {path: widget.value}, show)


def line(path: str, label: str) -> Control:
    """A line of text."""
    return _text(path, widgets.Text(description=label, layout=_LAYOUT, style=_STYLE))


def file(path: str, label: str, there: Callable[[], list[str]]) -> Control:
    """The name of a file beside the survey's: one of those that are ``there``, or typed."""
    widget = widgets.Combobox(description=label, placeholder=_BESIDE, layout=_LAYOUT, style=_STYLE)
    typed = _text(path, widget)

    def show(scenario: Scenario, system: System) -> None:
        widget.options = there()
        typed.show(scenario, system)

    return Control(path, widget, typed.changes, show)


def note(path: str, label: str) -> Control:
    """Text of several lines."""
    return _text(path, widgets.Textarea(description=label, rows=4, layout=_LAYOUT, style=_STYLE))


def _text(path: str, widget: widgets.DOMWidget) -> Control:
    def show(scenario: Scenario, system: System) -> None:
        widget.value = str(scenario.get(path))

    def changes() -> Changes:
        return {path: widget.value}

    return Control(path, widget, changes, show)


def about(beside: Callable[..., list[str]]) -> dict[str, list[Control]]:
    """Whose survey it is, and the anchorage and weather that the loads are calculated for, in groups.

    ``beside`` gives the names of the files of some endings that lie beside the survey's.
    """
    return {
        "Survey": [
            line("title", "Title"),
            line("survey.surveyor", "Surveyor"),
            line("survey.client", "Client"),
            line("survey.place", "Place"),
            choice("survey.lying", "Seen", [("not said", ""), ("afloat", "afloat"), ("ashore", "ashore")]),
            day("date", "Date of survey", datetime.date.today),
            note("survey.asked", "What was asked"),
            note("survey.notes", "Notes"),
        ],
        "Report": [
            line("survey.number", "Report number"),
            note("survey.letterhead", "Letterhead"),
            file("survey.logo", "Logo", lambda: beside(*_PICTURES)),
            file("survey.previous", "Last survey", lambda: beside(".toml")),
            day("log.surveyed", "Last surveyed"),
        ],
        "Loads are calculated for": [
            choice("spot.bottom", "Bottom"),
            slider("spot.depth", "Charted depth", 2, 25),
            slider("spot.tide", "Height of tide", 0, 8),
            slider("survey.deepest", "Deepest anchorage", 0, 40),
            mean_wind("Mean wind"),
            slider("tackle.scope", "Scope", 2, 12),
        ],
    }


def _shackle(path: str) -> list[Control]:
    def rows(scenario: Scenario) -> list[Row]:
        return [row for row in table("shackles") if row["grade"] == scenario.get(f"{path}.grade")]

    return [
        resetting(choice(f"{path}.grade", "Shackle"), f"{path}.size"),
        sizes(f"{path}.size", "Shackle size", rows, _MATCHES),
    ]


def _joining_rows(scenario: Scenario) -> list[Row]:
    kind = scenario.tackle.fittings.joining_link.kind
    if kind == "quick link":
        return list(table("quick_links"))
    return [row for row in table("shackles") if row["grade"] == "carbon screw pin"]


def _rope(path: str, construction: str, label: str) -> Control:
    def row(scenario: Scenario) -> Row:
        thing = scenario.tackle.rope if path.startswith("tackle.rope") else scenario.tackle.snubber
        return thing.row()

    return ropes(path, construction, label, row)


def facts(part: str) -> list[Control]:
    """The controls of a part, its dates among them."""
    return _FACTS[part]()


def in_short(controls: Sequence[Control]) -> str:
    """What is chosen and set, in a line; dates and what is nought are left to the controls."""
    return ", ".join(filter(None, (_in_short(control.widget) for control in controls)))


def _in_short(widget: widgets.Widget) -> str:
    if isinstance(widget, widgets.Dropdown):
        return str(widget.label)
    if isinstance(widget, Amount) and widget.value:
        return f"{widget.label.split(' (')[0].lower()} {widget.value:.4g} {widget.unit}".rstrip()
    return ""


_F = "tackle.fittings"
_HOLDERS = ("strong point", "windlass")
_SWIVELS = ("not known", "forged", "two halves screwed together")
_MATCHES, _STRONG = "assumed to match the chain", "assumed as strong as the fitting"
_FACTS: dict[str, Callable[[], list[Control]]] = {
    "anchor": lambda: [
        choice("tackle.anchor.type", "Anchor"),
        slider("tackle.anchor.mass", "Anchor weight", 5, 60),
        day("log.laid_out", "Last laid out"),
        day("log.severe_load", "Last heavy load"),
    ],
    "second anchor": lambda: [
        choice(f"{_F}.second_anchor.type", "Type"),
        slider(f"{_F}.second_anchor.mass", "Weight (0 = none)", 0, 60),
        slider(f"{_F}.second_anchor.chain", "Its chain", 0, 60),
        slider(f"{_F}.second_anchor.rope", "Its rope", 0, 120),
        choice(f"{_F}.stern_anchor.type", "Stern anchor"),
        slider(f"{_F}.stern_anchor.mass", "Stern anchor weight (0 = none)", 0, 60),
        slider(f"{_F}.stern_anchor.chain", "Stern chain", 0, 60),
        slider(f"{_F}.stern_anchor.rope", "Stern rope", 0, 120),
    ],
    "anchor shackle": lambda: [*_shackle(f"{_F}.anchor_shackle"), day("log.moused", "Mousing last checked")],
    "swivel": lambda: [
        choice(f"{_F}.swivel.orientation", "Swivel"),
        choice(f"{_F}.swivel.construction", "Made", [(name, name) for name in _SWIVELS]),
        sizes(f"{_F}.swivel.size", "Size", lambda _: table("swivels"), _MATCHES),
    ],
    "chain": lambda: [
        chains(),
        choice("tackle.chain.material", "Material", [(name, name) for name in ("galvanised", "stainless")]),
        slider("tackle.chain.length", "Chain aboard", 0, 120),
        day("log.chain_new", "Date new"),
        day("log.turned_end_for_end", "Last turned end for end"),
        day("log.regalvanised", "Last regalvanised"),
        slider("survey.log.times_regalvanised", "Times regalvanised", 0, 5),
    ],
    "joining link": lambda: [
        resetting(choice(f"{_F}.joining_link.kind", "Kind"), f"{_F}.joining_link.size"),
        sizes(f"{_F}.joining_link.size", "Size", _joining_rows, _MATCHES),
        counted(f"{_F}.joining_link.count", "How many", (1, 2, 3, 4)),
    ],
    "rope join": lambda: [
        choice(f"{_F}.rope_join.kind", "Rope joined by"),
        choice(f"{_F}.rope_join.knot", "Knot, if any"),
        slider(f"{_F}.rope_join.thimble", "Thimble for rope of", 0, 32),
        *_shackle(f"{_F}.rope_join.shackle"),
    ],
    "rope": lambda: [
        _rope("tackle.rope.diameter", "tackle.rope.construction", "Rope"),
        slider("tackle.rope.length", "Rope aboard", 0, 120),
        day("log.rope_new", "Date new"),
    ],
    "snubber end": lambda: [
        choice(f"{_F}.snubber_end.kind", "Attached to chain by"),
        *_shackle(f"{_F}.snubber_end.shackle"),
    ],
    "snubber": lambda: [
        _rope("tackle.snubber.diameter", "tackle.snubber.rope", "Snubber"),
        slider("tackle.snubber.length", "Length (0 = none)", 0, 20),
        choice(
            "tackle.snubber.legs",
            "Made fast to",
            LEGS,
        ),
        slider("tackle.snubber.slack", "Slack chain inboard of it", 0, 10),
        day("log.snubber_new", "Date new"),
    ],
    "lead": lambda: [
        choice(f"{_F}.lead.kind", "Lead"),
        slider(f"{_F}.lead.radius", "Radius (0 = assumed typical)", 0, 100),
    ],
    "strong point": lambda: [
        choice(f"{_F}.strong_point.kind", "Strong point"),
        choice(f"{_F}.strong_point.fastening", "Fastened by"),
        counted(f"{_F}.strong_point.bolts", "Bolts", (1, 2, 3, 4, 5, 6, 8)),
        sizes(f"{_F}.strong_point.bolt_size", "Bolt size", lambda _: table("bolts"), _STRONG),
        choice(f"{_F}.strong_point.backing", "Backing"),
        slider(f"{_F}.strong_point.breaking_load", "MBL (0 = assumed standard)", 0, 150),
    ],
    "windlass": lambda: [
        choice(f"{_F}.windlass.kind", "Windlass"),
        choice(f"{_F}.windlass.chain_held_by", "Chain load taken by"),
        choice(f"{_F}.windlass.rope_held_by", "Rope load taken by", [(name, name) for name in _HOLDERS]),
        day("log.windlass_run", "Last run"),
        day("log.windlass_serviced", "Last serviced"),
        day("log.electrics_checked", "Electrics last checked"),
    ],
    "gypsy": lambda: [
        slider(f"{_F}.windlass.gypsy_size", "For chain of (0 = matches)", 0, 16),
        choice(f"{_F}.windlass.gypsy_standard", "Chain standard of gypsy"),
    ],
    "bitter end": lambda: [
        choice(f"{_F}.bitter_end.made_fast", "Secured by"),
        counted(f"{_F}.bitter_end.turns", "Turns of lashing", (1, 2, 3, 4, 5, 6, 8)),
        slider(f"{_F}.bitter_end.diameter", "Lashing diameter", 2, 14),
        choice(f"{_F}.bitter_end.reaches_deck", "Lashing reaches the deck", [("yes", True), ("no", False)]),
    ],
    "locker": lambda: [day("log.drains_cleared", "Drain last cleared")],
}
