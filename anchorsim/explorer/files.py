"""Opening and saving scenario files, and bringing a wind record, from within the explorer."""

from __future__ import annotations

from importlib import import_module
from pathlib import Path
from typing import Any, Protocol

import ipywidgets as widgets

from anchorsim.core.errors import AnchorsimError, sentence
from anchorsim.core.file_names import safe_name
from anchorsim.core.reading import TABLE, check_size
from anchorsim.core.resources import folder
from anchorsim.core.units import System
from anchorsim.core.writing import digest, digest_of, write_beside, write_kept
from anchorsim.dynamics.run import Run
from anchorsim.environment.wind_record import read_record
from anchorsim.explorer.kept import with_recent
from anchorsim.explorer.pace import Pace
from anchorsim.explorer.words import plain
from anchorsim.risk.assessment import Assessment
from anchorsim.scenario.scenario import Scenario, ScenarioError


def listed(ending: str) -> list[tuple[str, Path]]:
    """The files of the person's folder and those that ship, by name."""
    here = sorted(Path.cwd().glob(f"*.{ending}"))
    names = {path.name for path in here}
    shipped = [path for path in sorted(folder("shared").glob(f"*.{ending}")) if path.name not in names]
    return [(path.stem, path) for path in [*here, *shipped] if path.name != "pyproject.toml"]


def kept(uploaded: tuple[dict[str, Any], ...], nameless: str) -> Path | None:
    """Put the last CSV file that was uploaded into the person's folder; None where there is none.

    What is there under that name with other content stays: the new one goes in beside it.  Raises
    AnchorsimError where it is too large or cannot be written.
    """
    if not uploaded:
        return None
    given, content = Path(uploaded[-1]["name"]), bytes(uploaded[-1]["content"])
    check_size(given.name, len(content), TABLE)
    wanted = Path.cwd() / f"{safe_name(given.stem, nameless)}.{safe_name(given.suffix, 'csv')}"
    return write_beside(wanted, content)


class Shows(Protocol):
    """What the files are opened in."""

    system: System
    run: Run | None
    assessment: Assessment | None
    state: Any

    @property
    def wanted(self) -> Scenario: ...

    def turn_to(self, scenario: Scenario) -> None: ...
    def remember(self, **changes: Any) -> None: ...
    def vary(self, changes: dict[str, object]) -> None: ...
    def refuse(self, error: Exception) -> None: ...


class Files:
    """The scenario files of the person's folder and those that ship, a name to save under, a wind record."""

    def __init__(self, screen: Shows, pace: Pace) -> None:
        self._screen, self._pace, over = screen, pace, pace.hand_over
        self.scenarios = widgets.Dropdown(description="Open", options=listed("toml"), value=None)
        self.name = widgets.Text(description="Save as", placeholder="my-anchorage", continuous_update=False)
        self.save = widgets.Button(description="Save", tooltip="Save the scenario in this folder")
        self.record = widgets.FileUpload(accept=".csv,.txt", description="Wind record (CSV)")
        self.drop = widgets.Button(description="Remove wind record", disabled=True)
        self.sheet = widgets.Button(
            description="Save the screen (PDF)", tooltip="On one sheet, in this folder"
        )
        self.said = widgets.HTML()
        self._listing = False
        self.seen: dict[Path, str | None] = {}  # digests of the files as last read or written here
        self.widgets = [self.scenarios, self.name, self.save, self.record, self.drop, self.sheet, self.said]
        self.scenarios.observe(lambda change: over(lambda: self._open(change["new"])), "value")
        self.save.on_click(lambda _: over(self._save))
        self.record.observe(lambda change: over(lambda: self._bring(change["new"])), "value")
        self.sheet.on_click(lambda _: over(self._write_sheet))
        self.drop.on_click(lambda _: over(lambda: self._screen.vary({"weather.record": None})))

    def show(self, scenario: Scenario) -> None:
        """Tell whether the scenario has a wind record."""
        self.drop.disabled = scenario.weather.record is None

    def _open(self, path: Path | None) -> None:
        if path is None or self._listing:
            return
        read = digest(path)
        try:
            scenario = Scenario.load(path)
        except ScenarioError as error:
            self._screen.refuse(error)
            return
        self.seen[path] = read
        self.name.value = path.stem
        self.said.value = plain(scenario.title)
        self._screen.turn_to(scenario)
        self._noted(path)

    def open_named(self, name: str) -> None:
        """Open one of the files that can be, by its name."""
        path = next((path for _, path in listed("toml") if path.name == name), None)
        if path is None:
            missing = sentence("it is no longer here", "a scenario file in this folder", "choose another")
            self._screen.refuse(ScenarioError([(name, missing)]))
            return
        self._list(None)
        self.scenarios.value = path

    def _noted(self, path: Path) -> None:
        self._screen.remember(recent=with_recent(self._screen.state, path.name))

    def _save(self) -> None:
        """Save under the name that was typed; a file there that this window does not know is kept."""
        wanted = Path.cwd() / f"{safe_name(self.name.value.removesuffix('.toml'), 'my-anchorage')}.toml"
        try:
            content = self._screen.wanted.content(wanted.parent)
            target = write_kept(wanted, content, self.seen.get(wanted))
        except AnchorsimError as error:
            self._screen.refuse(error)
            return
        self.seen[target] = digest_of(content)
        self.name.value = target.stem
        other = "" if target == wanted else f"; {wanted.name} is another scenario and was kept"
        self.said.value = plain(f"Saved as {target.name}{other}")
        self._noted(target)
        self._list(target)  # what is on screen is this file already

    def _list(self, chosen: Path | None) -> None:
        """List the files that can be opened, with one of them as that which is open."""
        self._listing = True
        try:
            self.scenarios.options = listed("toml")
            self.scenarios.value = next((path for _, path in self.scenarios.options if path == chosen), None)
        finally:
            self._listing = False

    def _write_sheet(self) -> None:
        """Put what the screen shows on one sheet, aside, for that takes seconds."""
        screen, folder = self._screen, Path.cwd()
        found, run, stretch, system = screen.assessment, screen.run, screen.state.stretch, screen.system
        if found is None or run is None:
            return
        self.sheet.disabled, self.said.value = True, plain("Saving…")

        def work() -> str:
            try:
                content = import_module("anchorsim.report.one_page").one_page(found, run, stretch, system)
                name = safe_name(found.scenario.title, "anchorage")
                return f"Saved as {write_beside(folder / f'{name}.pdf', content).name}"
            except (AnchorsimError, RuntimeError) as error:  # the latter where no paper can be made here
                return f"Not saved: {error}"

        def then(said: str) -> None:
            self.sheet.disabled, self.said.value = False, plain(said)

        self._pace.aside(work, then)

    def _bring(self, uploaded: tuple[dict[str, Any], ...]) -> None:
        try:
            target = kept(uploaded, "wind")
            if target is None:
                return
            read_record(target)
        except AnchorsimError as error:
            self._screen.refuse(error)
            return
        self._screen.vary({"weather.record": str(target)})
