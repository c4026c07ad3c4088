"""The licences of all that an installation brings, as each package's own metadata tells them.

``python tests/licences.py`` lists them for the plain set-up and for each extra, as installed beside it.
What a wheel carries within (libraries in C or Fortran, say) is told by no metadata and is not looked into.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from importlib.metadata import Distribution, distribution
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

PROJECT = tomllib.loads((Path(__file__).parents[1] / "pyproject.toml").read_text(encoding="utf-8"))["project"]

# What asks no more than that its notice be kept: how SPDX's names, classifiers and people's own begin.
_PERMISSIVE = re.compile(
    r"(MIT(-0|-CMU)?|0?BSD|Apache|ISC|PSFL?|Python Software Foundation|Zlib|CC0|(The )?Unlicense)\b",
    re.IGNORECASE,
)


def wanted(extra: str = "") -> list[str]:
    """The requirements of this project's plain set-up, or of one of its extras."""
    found: list[str] = PROJECT["optional-dependencies"][extra] if extra else PROJECT["dependencies"]
    return found


def brought(requirements: list[str]) -> dict[str, Distribution]:
    """What is installed with these requirements here, by name: they, what they need, and so on."""
    found: dict[str, Distribution] = {}
    seen: set[tuple[str, str]] = set()
    waiting = [*_asked(requirements, {""})]
    while waiting:
        name, extras = waiting.pop()
        new = {extra for extra in (*extras, "") if (name, extra) not in seen}
        if not new or name == PROJECT["name"]:
            continue
        seen |= {(name, extra) for extra in new}
        found[name] = distribution(name)
        waiting += _asked(found[name].requires or [], new)
    return dict(sorted(found.items()))


def _asked(requirements: list[str], extras: set[str]) -> Iterator[tuple[str, set[str]]]:
    """Each requirement that holds on this machine, with the extras that it asks for."""
    for each in map(Requirement, requirements):
        if each.marker is None or any(each.marker.evaluate({"extra": extra}) for extra in extras):
            yield canonicalize_name(each.name), each.extras


def licence(package: Distribution) -> str:
    """What a package says its licence is: an SPDX expression, else classifiers, else a field's first line."""
    told = package.metadata
    if expression := told.get("License-Expression"):
        return expression
    classified = [
        each.split(" :: ")[-1] for each in told.get_all("Classifier", []) if each.startswith("License")
    ]
    return " AND ".join(classified) or told.get("License", "").strip().partition("\n")[0]


def permissive(told: str) -> bool:
    """Whether a licence leaves people free: all of what holds together, one of what may be chosen from."""
    parts = [part.strip(" ()") for part in told.split(" AND ")]
    return all(any(_PERMISSIVE.match(choice.strip()) for choice in part.split(" OR ")) for part in parts)


def main() -> None:
    """List all licences, one set-up after the other; a star stands before those that are not permissive."""
    for extra in ("", *PROJECT["optional-dependencies"]):
        print(f"\n{f'anchorsim[{extra}] adds' if extra else 'anchorsim'}")
        plain = brought(wanted()) if extra else {}
        for name, package in brought(wanted(extra)).items():
            if name not in plain:
                told = licence(package)
                print(f"{' ' if permissive(told) else '*'} {name:30} {package.version:20} {told}")


if __name__ == "__main__":
    main()
