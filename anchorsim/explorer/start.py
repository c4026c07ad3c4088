"""The first screen: a way in for each who comes, and what was made or opened before."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, Protocol

import anywidget
import traitlets

from anchorsim.explorer.kept import State
from anchorsim.scenario.scenario import Scenario
from anchorsim.wording import start
from anchorsim.wording.pages import PAGES


class Leads(Protocol):
    """The explorer, as far as the first screen needs it."""

    state: State
    files: Any
    frame: Any

    def show(self, scenario: Scenario) -> None: ...


class Start(anywidget.AnyWidget):
    """``said``: title, ways (page, who, what, button), lists (heading, action, entries of key and label).

    Sends ``{"do": "page" | "kept" | "recent", "key"}``.
    """

    _esm = Path(__file__).with_name("start.js")

    said: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)

    def show(self, state: State) -> None:
        """Say what there is to go on with."""
        recent = start.recent(state.recent)
        self.said = {
            "title": start.TITLE,
            "ways": list(map(list, start.WAYS)),
            "lists": [
                [start.KEPT, "kept", [[one.letter, start.kept(one.letter, one.name)] for one in state.kept]],
                [start.RECENT, "recent", list(map(list, zip(state.recent, recent, strict=True)))],
                [start.NEW, "page", list(map(list, start.NEWS))],
            ],
        }

    def bind(self, over: Callable[[Callable[[], None]], None], screen: Leads) -> None:
        """Do what its buttons ask for."""

        def asked(do: str, key: str) -> None:
            if do == "page" and key in {page[0] for page in PAGES}:
                screen.frame.head.page = key
            elif do == "recent":
                screen.files.open_named(key)
                screen.frame.head.page = "swing"
            elif do == "kept":
                for one in screen.state.kept:
                    if one.letter == key:
                        screen.show(one.scenario)

        self.on_msg(lambda _, said, __: over(lambda: asked(str(said.get("do")), str(said.get("key")))))
