"""What the explorer opens on: what it is given, what the command named, or what was on screen last."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

from anchorsim.core import arguments
from anchorsim.core.resources import SCENARIO_VARIABLE
from anchorsim.explorer.app import Explorer
from anchorsim.explorer.history import History
from anchorsim.explorer.kept import Keeper, State, place, remembered, settle, with_recent
from anchorsim.scenario.scenario import Scenario


def explore(scenario: Scenario | None = None) -> Explorer:
    """Show the explorer, as a widget in a notebook.

    Parameters
    ----------
    scenario : Scenario, optional
        What to open; else what the command line named, else what was on screen last, else the default one.

    Returns
    -------
    Explorer
        The widget; its ``scenario`` follows what is moved on the screen.

    Raises
    ------
    ArgumentError
        Where it is not a scenario.
    ScenarioError
        Where the named file does not fit.

    Examples
    --------
    >>> screen = explore(Scenario())
    >>> screen.scenario.get("boat.model")
    'sloop-12'
    """
    if scenario is not None:
        arguments.instance("scenario", scenario, Scenario, "load one with Scenario.load")
        return Explorer(scenario)
    settle()
    target = place()
    state, of_this_start = remembered(target)
    named = os.environ.get(SCENARIO_VARIABLE)
    if named and not of_this_start:
        opened = Scenario.load(named)
        before = state or State(History(opened))
        page = "swing" if before.page == "start" else before.page  # who names a file wants to see it
        history, recent = before.history.turned_to(opened), with_recent(before, Path(named).name)
        state = replace(before, history=history, file=Path(named).stem, page=page, recent=recent)
    return Explorer(state or State(History(Scenario()), page="start"), Keeper(target))
