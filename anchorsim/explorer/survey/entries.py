"""What is done on the cards and tiles of a part, and the drafts that come of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from anchorsim.explorer.survey.drafts import Draft, Row, drafted
from anchorsim.explorer.survey.found import read
from anchorsim.scenario.findings import OTHER, Finding, kinds_on, parts_of
from anchorsim.scenario.scenario import Scenario

Keep = Callable[[bytes, str, str], "str | None"]


class Entries:
    """The drafts of a survey.  ``gone`` is the one deleted last, which can be had back.

    ``keep`` puts a photograph (content, name, part) beside the survey's file and gives its name, None where
    it was refused.
    """

    def __init__(self, keep: Keep) -> None:
        self._keep = keep
        self._begun = 0  # the key of the next draft
        self._at = 0  # where the deleted one stood
        self.drafts: tuple[Draft, ...] = ()
        self.gone: Draft | None = None

    def turn_to(self, findings: Sequence[Finding]) -> None:
        """Begin with what is recorded."""
        self.drafts, self.gone = drafted(findings, self._begun), None
        self._begun += len(self.drafts)

    def of(self, part: str) -> list[Draft]:
        """The drafts of a part."""
        return [draft for draft in self.drafts if draft.part == part]

    def do(self, content: Mapping[str, Any], buffers: Sequence[Any], scenario: Scenario) -> None:
        """Do what was done on the screen, to the part that it names; what is not known is passed over."""
        what, part = content.get("do"), content.get("part")
        place = next((i for i, one in enumerate(self.drafts) if one.key == content.get("key")), -1)
        if what == "add" and part in parts_of(OTHER) and content.get("kind") in (*kinds_on(part), OTHER):
            self.gone, self._begun = None, self._begun + 1
            self.drafts += (Draft(self._begun - 1, part, str(content["kind"])).entering(),)
        elif what == "undo" and self.gone is not None:
            self.drafts = (*self.drafts[: self._at], self.gone, *self.drafts[self._at :])
            self.gone = None
        elif what == "delete" and place >= 0:
            self.gone, self._at = self.drafts[place], place
            self._put(place)
        elif place >= 0:
            self._put(place, self._entered(self.drafts[place], content, buffers, scenario))

    def _put(self, place: int, *drafts: Draft) -> None:
        self.drafts = (*self.drafts[:place], *drafts, *self.drafts[place + 1 :])

    def _entered(
        self, draft: Draft, content: Mapping[str, Any], buffers: Sequence[Any], scenario: Scenario
    ) -> Draft:
        match content.get("do"):
            case "grade" | "note" | "words" | "action" as what:
                draft = draft.entering(**{what: str(content.get(what, ""))})
            case "picture" if buffers:
                name = self._keep(bytes(buffers[0]), str(content.get("name", "")), draft.part)
                if name is not None:
                    draft = draft.entering(photographs=(*draft.photographs, name))
            case "drop":
                left = tuple(name for name in draft.photographs if name != content.get("name"))
                draft = draft.entering(photographs=left)
            case "doubt":
                draft = replace(draft, doubted=None)
            case "row":
                draft = replace(draft, rows=(*draft.rows, Row()))
            case _:
                row = content.get("row")
                if isinstance(row, int) and 0 <= row < len(draft.rows):
                    draft = _measured(draft, row, content, scenario)
        return draft


def _measured(draft: Draft, row: int, content: Mapping[str, Any], scenario: Scenario) -> Draft:
    """The draft with what was done on one of its places."""
    match content.get("do"):
        case "measured":
            at = row, int(content.get("column", 0) == 1)
            return draft.measuring(at, read(content), scenario, sure=bool(content.get("sure")))
        case "place":
            return draft.placing(row, str(content.get("place", "")))
        case "unrow":
            return draft.without(row)
    return draft
