"""The command line: open the explorer, run a scenario, report on it, check scenario files, add a shortcut.

Each command imports what it needs when it is given: ``--help`` and the start of the server, which the first
picture waits for, would else pay two seconds for what only the others use.
"""

from __future__ import annotations

import argparse
import io
import math
import os
import sys
import textwrap
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from anchorsim.core.errors import AnchorsimError, sentence
from anchorsim.core.reading import brief_path
from anchorsim.options import COMMANDS, parser

if TYPE_CHECKING:
    from anchorsim.core.units import System
    from anchorsim.risk.assessment import Assessment
    from anchorsim.scenario.scenario import Scenario

WRONG = 2  # exit code where something given is wrong
_SHOWN = 80  # characters of what was given that are told
_SPELLS = 8  # run unless one is asked for


class Refusal(AnchorsimError):
    """What of the command line does not fit."""


def main(arguments: list[str] | None = None) -> int:
    """Run one command and give back its exit code.

    0 is well, 2 is something that does not fit, told in a sentence on standard error.
    """
    given = sys.argv[1:] if arguments is None else arguments
    # A file or a pipe on Windows may have no letter for ° or ², and a file's name what no text holds.
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="replace")
    options = parser().parse_args(_with_command(given))
    try:
        code = _DONE_BY[options.command](options)
    except AnchorsimError as refusal:
        print(f"anchorsim: {refusal}", file=sys.stderr)
        return WRONG
    except KeyboardInterrupt:
        return 130
    except BrokenPipeError:  # the reader of our output has gone, as with: anchorsim run … | head
        sys.stderr.close()
        return 0
    return code


def _with_command(given: list[str]) -> list[str]:
    """``anchorsim FILE`` and ``anchorsim`` alone stand for ``anchorsim open …``."""
    if given and (given[0] in COMMANDS or given[0] in ("-h", "--help", "--version")):
        return given
    return ["open", *given]


def _open(options: argparse.Namespace) -> int:
    from anchorsim.jupyter.launch import Launch, open_explorer

    if options.file:
        _load(options.file)
    try:
        folder = options.folder.expanduser()
    except RuntimeError:
        fits, advice = "a folder that you may write to", "choose another with --folder"
        said = sentence("there is no such person on this machine", fits, advice)
        raise Refusal(f"{brief_path(options.folder)}: {said}") from None
    open_explorer(Launch(folder, options.notebook, options.file, options.port, not options.no_browser))
    return 0


def _shortcut(options: argparse.Namespace) -> int:
    from anchorsim.jupyter import shortcut

    wanted = shortcut.launcher(sys.platform, str(Path.home()), os.environ, shortcut.this_command())
    place = brief_path(Path(wanted.place))
    if options.remove:
        print(f"Shortcut removed: {place}" if shortcut.remove(wanted) else "There was no shortcut to remove.")
    else:
        shortcut.add(wanted)
        print(f"Shortcut added: {place}\nRemove it with: anchorsim shortcut --remove")
    return 0


def _check(options: argparse.Namespace) -> int:
    from anchorsim.environment.wind_record import WindRecordError
    from anchorsim.scenario.recorded_wind import record_of

    code = 0
    for path in options.files:
        try:
            record_of(_load(path))
        except (Refusal, WindRecordError) as refusal:
            print(f"anchorsim: {_about(path, refusal)}", file=sys.stderr)
            code = WRONG
        else:
            print(f"{brief_path(path)}: no errors found")
    return code


def _run(options: argparse.Namespace) -> int:
    from anchorsim.dynamics.simulation import simulate
    from anchorsim.environment.wind_record import WindRecordError
    from anchorsim.risk.assessment import Assessment, assess
    from anchorsim.risk.draws import Draw
    from anchorsim.risk.monte_carlo import of_runs
    from anchorsim.scenario.scenario import ScenarioError
    from anchorsim.strength.degradation import as_found

    scenario = _load(options.file)
    try:
        scenario = scenario.vary(_changes(options.changes))
        if options.full or options.seed is not None:
            seed = 1 if options.seed is None else options.seed
            shown = _show_progress if options.full else None
            behaves, chance = as_found(scenario), Draw(seed, 0.5, 1.0)
            run = simulate(
                behaves, **chance._asdict(), line="full" if options.full else "coarse", progress=shown
            )
            found = Assessment(scenario, of_runs(behaves, [(chance, run)]))
        else:
            found = assess(scenario, _SPELLS)
    except (ScenarioError, WindRecordError) as error:
        raise Refusal(_about(options.file, error)) from None
    print("\n".join(_summary(found, "US" if options.us else "metric")))
    return 0


def _show_progress(share: float) -> None:
    end = "\n" if share == 1.0 else ""
    print(f"\r{share:4.0%} simulated", end=end, file=sys.stderr, flush=True)


def _report(options: argparse.Namespace) -> int:
    from anchorsim.report import ReportError, write_report

    scenario = _load(options.file)
    last = _load(options.last) if options.last else None
    try:
        write_report(scenario, options.output, "US" if options.us else "metric", options.letterhead, last)
    except ReportError as error:
        raise Refusal(str(error)) from None
    except AnchorsimError as error:
        raise Refusal(_about(options.file, error)) from None
    print(f"Report saved: {brief_path(options.output)}")
    return 0


def _page(options: argparse.Namespace) -> int:
    from anchorsim.classroom import serve
    from anchorsim.classroom.class_runs import class_runs
    from anchorsim.classroom.page import handout, html
    from anchorsim.core.writing import write_whole

    if not (options.output or options.serve):
        raise Refusal(f"page: {sentence('nothing to do with it', '-o OUT, --serve or both')}")
    if options.output and options.output.suffix.lower() != ".html":
        wrong = sentence("unknown kind of file", "a name that ends in .html", "write for example page.html")
        raise Refusal(f"{brief_path(options.output)}: {wrong}")
    address = serve.room_address(options.address) if options.serve else ""
    scenario = _load(options.file)
    system: System = "US" if options.us else "metric"
    try:
        runs = class_runs(
            scenario, _over(options.over), title=options.title, minutes=options.minutes, seed=options.seed,
            progress=lambda done, whole: _show_progress(done / whole),
        )  # fmt: skip
    except AnchorsimError as error:
        raise Refusal(_about(options.file, error)) from None
    if options.output:
        write_whole(options.output, html(runs, system).encode())
        print(f"Page saved: {brief_path(options.output)}")
    if options.serve:
        serve.until_stopped(handout(runs, system), address, options.port)
    return 0


def _over(given: list[str]) -> dict[str, list[Any]]:
    """What each ``--over`` names: its path, and its values as in ``--set``."""
    found: dict[str, list[Any]] = {}
    for path, values in ((pair.partition("=")[0].strip(), pair.partition("=")[2]) for pair in given):
        if not path or not values or path in found:
            wrong = "twice" if path in found else "incomplete"
            fits = "PATH=V1,V2,… once for each path, for example --over tackle.scope=3,5,7"
            raise Refusal(f"--over {path[:_SHOWN]}: {sentence(wrong, fits)}")
        found[path] = [_value(value.strip()) for value in values.split(",")]
    return found


def _summary(found: Assessment, system: System) -> Iterator[str]:
    """The lines of the report on a terminal: the gist, the figures, what to know, what to heed."""
    from anchorsim.wording import assessment as wording
    from anchorsim.wording.warnings import warnings

    yield found.scenario.title
    yield ""
    yield f"{wording.gist(found)}. {wording.sentence(found, system)}"
    yield wording.range_of(found)
    yield ""
    for label, likely, low, high in wording.rows(found, system):
        yield f"  {label:<30} {likely:>10}   ({low} to {high})"
    for part in found.states:
        if part.load.high > 0.0:
            yield f"  {part.name:<30} {part.utilisation.likely:>10.0%}   of WLL"
    if found.scenario.weather.record is None:
        yield f"  {'Sheering, in a steady wind':<30} {_sheering(found.scenario)}"
    notes = [f"Note: {note}" for note in wording.notes(found, system)]
    for line in [*notes, *map(str, (*warnings(found, system), *wording.STANDING))]:
        yield ""
        yield textwrap.fill(line, 100, subsequent_indent="  ")


def _sheering(scenario: Scenario) -> str:
    """How she lies head to the mean wind without gusts, from her motion and her rode's linearised there."""
    from anchorsim.core.units import si
    from anchorsim.dynamics.sheering import straight_equilibrium
    from anchorsim.strength.degradation import as_found

    wind = si(scenario.weather.mean_wind)
    if wind == 0.0:
        return "      none"
    equilibrium = straight_equilibrium(as_found(scenario), wind)
    if equilibrium.stable:
        return "      none   (a small one dies away)"
    doubles = f"a small one doubles in {math.log(2.0) * equilibrium.growth_time:.0f} s"
    if not equilibrium.swings:
        return f"{equilibrium.sheering:>10}   (she falls off to one side; {doubles})"
    return f"{equilibrium.sheering:>10}   (every {equilibrium.sheer_period:.0f} s; {doubles})"


def _load(path: Path) -> Scenario:
    """A scenario from its file.  Raises Refusal with the file's name in front of what is wrong."""
    from anchorsim.scenario.scenario import Scenario, ScenarioError

    try:
        return Scenario.load(path)
    except ScenarioError as error:
        raise Refusal(_about(path, error)) from None


def _about(path: Path, error: ValueError) -> str:
    """Each problem on a line of its own, with the file's name in front."""
    lines, name = str(error).splitlines(), brief_path(path)
    return "\n".join(line if line.startswith(name) else f"{name}: {line}" for line in lines)


def _changes(pairs: list[str]) -> dict[str, Any]:
    """What ``--set`` names, by path: numbers and true or false as such, all else as text."""
    changes = {}
    for pair in pairs:
        path, equals, value = (part.strip() for part in pair.partition("="))
        if not (path and equals and value):
            fits = "PATH=VALUE, for example --set tackle.scope=7"
            raise Refusal(f"--set {pair[:_SHOWN]}: {sentence('incomplete', fits)}")
        changes[path] = _value(value)
    return changes


def _value(text: str) -> Any:
    """A value as it would stand in a scenario file, with or without its quotation marks.

    >>> _value("7"), _value("8 m"), _value('"8 m"'), _value("true")
    (7, '8 m', '8 m', True)
    """
    from anchorsim.core.toml_file import parse_toml

    try:
        value = parse_toml(f"value = {text}")["value"]
    except ValueError:  # no TOML: text without its quotation marks
        return text
    return value if isinstance(value, int | float | str) else text


_DONE_BY: dict[str, Callable[[argparse.Namespace], int]] = {
    "open": _open, "survey": _open, "run": _run, "report": _report, "page": _page, "check": _check,
    "shortcut": _shortcut,
}  # fmt: skip


if __name__ == "__main__":
    sys.exit(main())
