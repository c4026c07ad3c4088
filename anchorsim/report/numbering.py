"""The numbers by which a report refers to its findings, jobs and sources."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

from anchorsim.core.tables import KINDS
from anchorsim.report.blocks import SourceEntry
from anchorsim.scenario.findings import Finding
from anchorsim.scenario.scenario import Scenario
from anchorsim.survey.recommendations import Recommendation
from anchorsim.wording import amounts
from anchorsim.wording.findings import CLASSES
from anchorsim.wording.sources import KINDS as KIND_NAMES


class Sources:
    """Sources as they come up, numbered in that order, each once."""

    def __init__(self) -> None:
        self._found: dict[tuple[str, str], list[str]] = {}

    def refer(self, text: str, kind: str, serves: str) -> int:
        """The number of a source, which is a new one where it has not come up yet."""
        what = self._found.setdefault((text, kind), [])
        if serves not in what:
            what.append(serves)
        return list(self._found).index((text, kind)) + 1

    def listed(self) -> dict[str, list[SourceEntry]]:
        """All of them by kind, the best founded kind first."""
        by_kind: dict[str, list[SourceEntry]] = {kind: [] for kind in KINDS}
        for number, ((text, kind), serves) in enumerate(self._found.items(), 1):
            by_kind[kind].append(SourceEntry(number, text, amounts.listed(serves)))
        return {KIND_NAMES[kind]: found for kind, found in by_kind.items() if found}


@dataclass(frozen=True)
class Numbering:
    """Findings by their place in the survey, jobs by class (A1, A2, B1), and the sources so far."""

    findings: dict[Finding, int]
    jobs: tuple[str, ...]
    sources: Sources = field(default_factory=Sources)

    @classmethod
    def of(cls, scenario: Scenario, found: Sequence[Recommendation]) -> Numbering:
        """Those of a survey and of its recommendations."""
        count: Counter[str] = Counter()
        jobs = []
        for entry in found:
            letter = CLASSES[entry.urgency][0]
            count[letter] += 1
            jobs.append(f"{letter}{count[letter]}")
        numbers: dict[Finding, int] = {}
        for number, finding in enumerate(scenario.survey.findings, 1):
            numbers.setdefault(finding, number)
        return cls(numbers, tuple(jobs))


def numbers(found: Sequence[int]) -> str:
    """Numbers of findings, as they are referred to: ``No. 4, 5``; empty where there are none."""
    return f"No. {', '.join(map(str, found))}" if found else ""
