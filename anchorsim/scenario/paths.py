"""Paths into a thing made of things, ``tackle.chain.length``: what stands there, and what is wrong there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, get_args, get_origin

from anchorsim.core.errors import sentence
from anchorsim.core.model import OneOf, Problem, Thing
from anchorsim.core.tables import Choice, nearest
from anchorsim.core.units import Measure, quoted

_TOLD = 50  # errors that are looked at: more than are read
_READ = 1_500  # characters of all that is told
_LONGEST, _LONGEST_PART = 160, 60  # characters of a path and of a name in it


@dataclass(frozen=True)
class Variable:
    """Something that can be varied: a quantity or a number between limits, or one of some choices.

    Attributes
    ----------
    path : str
        Where it stands, ``"spot.depth"``: what :meth:`Scenario.vary` takes.
    label, help : str
        What it is called on a screen, and what else is said of it.
    unit : str
        Unit of the limits and the step; empty for a pure number and for a choice.
    low, high, step : float or None
        Its limits and the step of a control; None for a choice.
    choices : tuple
        The values it takes; empty for a quantity or a number.
    """

    path: str
    label: str
    help: str = ""
    unit: str = ""
    low: float | None = None
    high: float | None = None
    step: float | None = None
    choices: tuple[Any, ...] = ()


def variables(thing: type[Thing], prefix: str = "") -> Iterator[Variable]:
    """All that can be varied of a thing and of those within it, in the order of their fields."""
    for name in thing.model_fields:
        path, found = f"{prefix}{name}", thing.varied().get(name)
        if isinstance(found, Measure):
            span = found.low, found.high, found.step
            yield Variable(path, found.label, found.help, found.unit, *span)
        elif found is not None:
            yield Variable(path, found.label, choices=tuple(found.options))
        elif inner := _model(thing, name):
            yield from variables(inner, f"{path}.")


def names(root: type[Thing], path: str) -> list[str]:
    """The names along a path; none where there is no such path."""
    parts = path.split(".")
    thing: type[Thing] | None = root
    for name in parts:
        if thing is None or name not in thing.model_fields:
            return []
        thing = _model(thing, name)
    return parts


def unknown_path(root: type[Thing], path: str) -> Problem:
    """The sentence that refuses a path, with the nearest known one."""
    near = nearest(path, list(_paths(root, "")))
    return path, sentence("unknown path", f"the path of a field, such as tackle.scope{near}", "correct it")


def model_at(root: type[Thing], parts: list[str]) -> type[Thing] | None:
    """What a path leads to; numbers are places in a list."""
    thing: type[Thing] | None = root
    for part in parts:
        if thing and not part.isdigit():
            thing = _model(thing, part) or _listed(thing, part)
    return thing


def where(root: type[Thing], path: str) -> str:
    """A path with the label of its field, where it has one."""
    *parents, name = path.split(".")
    thing = model_at(root, parents)
    found: Measure | Choice | OneOf | None = thing.varied().get(name) if thing else None
    return f"{path} ({found.label})" if found and found.label else path


def put(document: dict[str, Any], parts: list[str], value: Any) -> None:
    """Put a value into a document along the names of a path; None takes away what stands there."""
    *parents, name = parts
    for parent in parents:
        inner = document.get(parent, {})
        document[parent] = dict(inner) if isinstance(inner, Thing | Mapping) else {}
        document = document[parent]
    if value is None:
        document.pop(name, None)
    else:
        document[name] = value


def lines(root: type[Thing], found: Sequence[Problem]) -> str:
    """Problems as people read them, a line for each, as far as anybody would read on."""
    text = ""
    for path, said in found:
        line = f"{quoted(where(root, path), _LONGEST)[1:-1]}: {said}" if path else said
        if text and len(text) + len(line) > _READ:
            return f"{text}\nThere are more. Correct these first."
        text = f"{text}\n{line}" if text else line
    return text


def all_problems(root: type[Thing], entries: Sequence[Any]) -> list[Problem]:
    """The errors that pydantic found in a thing, as paths and sentences; of thousands the first."""
    return [problem for entry in entries[:_TOLD] for problem in _problems(root, entry)]


def _problems(root: type[Thing], entry: Any) -> list[Problem]:
    parts = [_brief(part) for part in map(str, entry["loc"])]
    if entry["type"] != "at":
        return [(".".join(parts), _said(root, entry, parts))]
    context = entry["ctx"]
    found = [(context["path"], context["sentence"]), *context["more"]]
    return [(".".join([*parts, *filter(None, [path])]), said) for path, said in found]


def _brief(part: str) -> str:
    return part if part and part.isprintable() and len(part) <= _LONGEST_PART else quoted(part)


def _said(root: type[Thing], entry: Any, parts: list[str]) -> str:
    given, context = quoted(entry["input"]), entry.get("ctx", {})
    if entry["type"] == "value_error":
        return str(context["error"])
    if entry["type"] == "extra_forbidden":
        known = list((model_at(root, parts[:-1]) or root).model_fields)
        fits = f"one of {', '.join(known)}{nearest(parts[-1], known)}"
        return sentence(f"unknown key {parts[-1]}", fits, "correct or delete it")
    if "max_length" in context:
        unit = " characters" if isinstance(entry["input"], str) else ""
        length, most = len(entry["input"]), context["max_length"]
        return sentence(f"{given} is too long", f"at most {most}{unit}", "shorten it", got=str(length))
    listed = [part for part in parts if not part.isdigit()]
    heading = f"[{'.'.join(listed)}]" if listed == parts else f"[[{'.'.join(listed)}]]"
    plain = {
        "missing": ("missing", "a value", "write one"),
        "string_type": (f"{given} is not text", "text", "put it in quotation marks"),
        "tuple_type": (f"{given} is not a list", "a list", "put it in brackets"),
        "too_short": (f"{given} is blank", "some text", "write it or delete it"),
        "model_type": (
            f"{given} is not a table of keys", f"a heading {heading} with keys beneath it", "write it so"
        ),
    }  # fmt: skip
    return sentence(*plain.get(entry["type"], (f"{given} does not fit", str(entry["msg"]), "change it")))


def _model(thing: type[Thing], name: str) -> type[Thing] | None:
    info = thing.model_fields.get(name)
    inner = info.annotation if info else None
    return inner if isinstance(inner, type) and issubclass(inner, Thing) else None


def _listed(thing: type[Thing], name: str) -> type[Thing] | None:
    """What a field holds several of, such as the findings of a survey."""
    info = thing.model_fields.get(name)
    inner = get_args(info.annotation)[:1] if info and get_origin(info.annotation) is tuple else ()
    return next((kind for kind in inner if isinstance(kind, type) and issubclass(kind, Thing)), None)


def _paths(thing: type[Thing], prefix: str) -> Iterator[str]:
    for name in thing.model_fields:
        inner = _model(thing, name)
        yield f"{prefix}{name}"
        if inner:
            yield from _paths(inner, f"{prefix}{name}.")
