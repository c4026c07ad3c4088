"""The published checks as a table to read: printed and ours side by side, by subject."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from anchorsim.core.markup import macros
from anchorsim.validation.published import OBTAINED, Check

_HEADS = ("Value", "Inputs", "Printed", "Ours", "Difference", "Tolerance", "How obtained", "Source")
_DEGREE = 3600.0  # seconds of arc


@dataclass(frozen=True)
class Table:
    """HTML that a notebook shows; ``text`` is what it says at the top."""

    text: str
    html: str

    def _repr_html_(self) -> str:
        return self.html

    def __repr__(self) -> str:
        return self.text


def checks_table(checks: Sequence[Check]) -> Table:
    """One folded table a subject, in the order of the checks; those with a value outside stand open."""
    counted = (
        f"{_count(checks)}. {sum(check.calculated for check in checks)} of the values are calculated, the "
    )
    text = f"{counted}others are read back from our tables."
    subjects = []
    for subject in dict.fromkeys(check.subject for check in checks):
        of_it = [check for check in checks if check.subject == subject]
        inside = all(check.within for check in of_it)
        subjects.append((f"{subject}: {_count(of_it)}", inside, [_row(check) for check in of_it]))
    return Table(text, macros("figures/tables.html").checks_table(text, _HEADS, subjects))


def _count(checks: Sequence[Check]) -> str:
    return f"{sum(check.within for check in checks)} of {len(checks)} within tolerance"


def _row(check: Check) -> tuple[str, ...]:
    ours, difference, tolerance = _numbers(check)
    stated = f" ({check.reason})" if check.reason else ""
    return (
        check.what[:1].upper() + check.what[1:],
        check.inputs,
        f"{check.printed} {check.unit}".strip() if "°" not in check.printed else check.printed,
        ours,
        difference if check.within else f"{difference}: outside",
        f"{tolerance}{stated}",
        OBTAINED[check.obtained],
        check.source,
    )


def _numbers(check: Check) -> tuple[str, str, str]:
    """Ours, the difference and the tolerance finer than the tolerance by a digit."""
    is_angle = "°" in check.printed and "′" in check.printed
    scale, unit = (_DEGREE, "″") if is_angle else (1.0, "")
    digits = max(0, 1 - math.floor(math.log10(scale * check.tolerance)))
    shown = _angle(check.ours, digits) if is_angle else _plain(check.ours, digits, " " in check.printed)
    off = f"{scale * check.difference:+.{digits}f}"
    return (
        shown,
        "0" if float(off) == 0.0 else f"{off.replace('-', '−')}{unit}",
        f"±{f'{scale * check.tolerance:.12f}'.rstrip('0').rstrip('.')}{unit}",
    )


def _plain(value: float, digits: int, grouped: bool) -> str:
    text = f"{value:,.{digits}f}" if grouped else f"{value:.{digits}f}"
    return text.replace(",", " ").replace("-", "−")


def _angle(degrees: float, digits: int) -> str:
    minutes, seconds = divmod(round(degrees * _DEGREE, digits), 60)
    whole, minutes = divmod(minutes, 60)
    return f"{whole:.0f}° {minutes:02.0f}′ {seconds:0{digits + 3}.{digits}f}″"
