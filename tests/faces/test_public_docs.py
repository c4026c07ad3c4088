"""Every public name says in numpydoc form what it takes, gives and refuses, and has an example that runs."""

from __future__ import annotations

import builtins
import concurrent.futures
import dataclasses
import inspect
import re
from typing import Any

import pytest

import anchorsim as am
from anchorsim import line
from anchorsim.core.amount import Amount

ORDER = ("Parameters", "Attributes", "Returns", "Raises", "Notes", "References", "Examples")
NAMES: dict[str, Any] = {
    **{name: getattr(am, name) for name in am.__all__ if name != "line"},
    **{f"line.{name}": getattr(line, name) for name in line.__all__},
}
FUNCTIONS = [name for name, each in NAMES.items() if not isinstance(each, type)]
VALUES = [name for name, each in NAMES.items() if dataclasses.is_dataclass(each) or hasattr(each, "_fields")]


def sections(doc: str) -> dict[str, list[str]]:
    """The lines of each section, by its heading; those before the first stand under an empty one."""
    found: dict[str, list[str]] = {"": []}
    heading, lines = "", doc.splitlines()
    for text, under in zip(lines, [*lines[1:], ""], strict=True):
        if text and set(under) == {"-"}:
            assert len(under) == len(text), f"{text}: its line is as long as it is"
            heading = text
            found[heading] = []
        elif set(text) != {"-"}:
            found[heading].append(text)
    return found


def entries(lines: list[str]) -> dict[str, str]:
    """What is listed in a section, with the type behind its colon: a line may list several names."""
    heads = [text.partition(" : ") for text in lines if text and not text.startswith(" ")]
    return {name: kind for names, _, kind in heads for name in re.split(r",\s+", names)}


def described(lines: list[str]) -> bool:
    """Whether each entry is followed by what is said of it."""
    texts = [text for text in lines if text]
    return all(
        below.startswith("    ")
        for text, below in zip(texts, [*texts[1:], ""], strict=True)
        if not text.startswith(" ")
    )


@pytest.mark.parametrize("name", NAMES)
def test_it_has_a_summary_and_an_example_and_its_sections_stand_in_order(name: str) -> None:
    found = sections(inspect.getdoc(NAMES[name]) or "")
    assert re.fullmatch(r"[A-Z].*[.:].*", found[""][0]), name
    order = [heading for heading in found if heading]
    assert order == [heading for heading in ORDER if heading in found], (name, order)
    assert any(text.lstrip().startswith(">>> ") for text in found["Examples"]), name


@pytest.mark.parametrize("name", FUNCTIONS)
def test_a_function_says_what_it_takes_gives_and_raises(name: str) -> None:
    found, signature = sections(inspect.getdoc(NAMES[name]) or ""), inspect.signature(NAMES[name])
    taken = entries(found.get("Parameters", []))
    assert list(taken) == list(signature.parameters) and all(taken.values())
    for parameter in signature.parameters.values():
        assert ("optional" in taken[parameter.name]) == (parameter.default is None), parameter
    assert ("Returns" in found) == (signature.return_annotation not in (None, "None"))
    assert all(
        described(found[heading]) for heading in ("Parameters", "Returns", "Raises") if heading in found
    )
    if name != "line.look_up":  # which checks nothing, as the kernels do not
        for error in entries(found["Raises"]):
            home = next(place for place in (am, builtins, concurrent.futures) if hasattr(place, error))
            assert issubclass(getattr(home, error), Exception)


@pytest.mark.parametrize("name", VALUES)
def test_a_value_says_what_it_carries(name: str) -> None:
    kind = NAMES[name]
    found = sections(inspect.getdoc(kind) or "")
    said = entries(found["Attributes"])
    fields = (
        [field.name for field in dataclasses.fields(kind)] if dataclasses.is_dataclass(kind) else kind._fields
    )
    carried = {*fields, *(each for each in dir(kind) if not each.startswith("_"))}
    properties = {each for each in carried if _is_property(getattr(kind, each, None))}
    amounts = {each for each in carried if isinstance(getattr(kind, each, None), Amount)}
    assert {*fields, *properties, *amounts} - set(said) == set(), "is not listed"
    assert all(said[each] == "quantity" for each in amounts)
    assert set(said) <= carried, "is listed, and it has none such"
    assert all(said.values()) and described(found["Attributes"])


def _is_property(member: Any) -> bool:
    return isinstance(member, property) or type(member).__name__ == "cached_property"


@pytest.mark.parametrize("name", [name for name, each in NAMES.items() if isinstance(each, type)])
def test_each_method_says_what_it_is_and_names_what_it_takes(name: str) -> None:
    kind = NAMES[name]
    for place in kind.__mro__:
        if not place.__module__.startswith("anchorsim."):
            continue
        for each, member in vars(place).items():
            if each.startswith("_"):
                continue
            if _is_property(member):
                assert inspect.getdoc(member), f"{name}.{each}"
            elif callable(function := getattr(member, "__func__", member)) and inspect.isfunction(function):
                doc = inspect.getdoc(function) or ""
                assert doc, f"{name}.{each}"
                for parameter in list(inspect.signature(function).parameters)[1:]:
                    assert re.search(rf"\b{parameter}\b", doc), f"{name}.{each} does not name {parameter}"
