"""What may be typed on the command line, and what it is read as."""

from __future__ import annotations

import argparse
import importlib.metadata
from pathlib import Path
from typing import Any

from anchorsim.wording.pages import ABOUT

COMMANDS = ("open", "survey", "run", "report", "page", "check", "shortcut")
_DIGITS = 18  # of a seed
_SHOWN = 80  # characters of what was given that are told


def parser() -> argparse.ArgumentParser:
    """The parser of all commands: which was given is ``command``, by its name."""
    parser = argparse.ArgumentParser(
        prog="anchorsim",
        description=ABOUT,
        epilog="Without a command, the explorer opens: anchorsim [FILE] is anchorsim open [FILE].",
        allow_abbrev=False,
    )
    parser.add_argument(
        "--version", action="version", version=f"anchorsim {importlib.metadata.version('anchorsim')}"
    )
    commands = parser.add_subparsers(required=True, metavar=" | ".join(COMMANDS), dest="command")

    _add_screen(commands, "open", "explorer.ipynb", "open the explorer in a browser")
    _add_screen(commands, "survey", "survey.ipynb", "open the survey of the ground tackle in a browser")

    running = commands.add_parser("run", help="run a scenario and print the results", allow_abbrev=False)
    running.add_argument("file", type=Path, metavar="FILE", help="a scenario file")
    running.add_argument(
        "--set",
        action="append",
        default=[],
        dest="changes",
        metavar="PATH=VALUE",
        help='change one value first, for example --set tackle.snubber.length="8 m"',
    )
    running.add_argument(
        "--seed", type=_seed, metavar="N", help="run one spell only, with gust sequence N (default: eight)"
    )
    running.add_argument(
        "--full",
        action="store_true",
        help="run one spell with the rode in elements of a metre; takes seconds",
    )
    running.add_argument("--us", action="store_true", help="print US units")

    _add_report(commands)

    _add_page(commands)

    checking = commands.add_parser("check", help="check scenario files for errors", allow_abbrev=False)
    checking.add_argument("files", type=Path, nargs="+", metavar="FILE", help="scenario files")

    linking = commands.add_parser(
        "shortcut", help="add anchorsim to your menu or desktop", allow_abbrev=False
    )
    linking.add_argument("--remove", action="store_true", help="remove it again")
    return parser


def _add_screen(commands: Any, name: str, notebook: str, does: str) -> None:
    """A command that opens a notebook in a browser."""
    opening = commands.add_parser(name, help=does, allow_abbrev=False)
    opening.add_argument("file", nargs="?", type=Path, metavar="FILE", help="a scenario file to start from")
    opening.add_argument(
        "--folder",
        type=Path,
        default=Path("~/anchorsim"),
        help="where your copies of the notebooks and scenarios are kept (default: %(default)s)",
    )
    opening.add_argument("--port", type=int, help="the port to serve on (default: a free one)")
    opening.add_argument("--no-browser", action="store_true", help="print the address, do not open a browser")
    opening.set_defaults(notebook=notebook)


def _add_page(commands: Any) -> None:
    paging = commands.add_parser(
        "page", help="make a page that plays on the class's phones, and hand it out", allow_abbrev=False
    )
    paging.add_argument("file", type=Path, metavar="FILE", help="a scenario file")
    paging.add_argument(
        "--over",
        action="append",
        default=[],
        metavar="PATH=V1,V2,…",
        help="values that the class chooses from, for example --over tackle.scope=3,5,7; up to three times",
    )
    paging.add_argument("-o", type=Path, dest="output", metavar="OUT", help="a .html file to write")
    paging.add_argument("--title", default="", help="the page's heading (default: the scenario's title)")
    paging.add_argument(
        "--minutes", type=float, default=5.0, metavar="N", help="length of each run, 1 to 30 (default: 5)"
    )
    paging.add_argument("--seed", type=_seed, default=1, metavar="N", help="gust sequence (default: 1)")
    paging.add_argument("--us", action="store_true", help="open in US units")
    paging.add_argument(
        "--serve", action="store_true", help="hand it out to phones on this network, until Ctrl-C"
    )
    paging.add_argument("--address", default="", help="this computer's address on the room's network")
    paging.add_argument("--port", type=int, help="the port to serve on (default: 8080 or a free one)")


def _add_report(commands: Any) -> None:
    """The command that writes a survey's report, in any of its forms."""
    reporting = commands.add_parser(
        "report", help="write the report on a survey, to read and to print", allow_abbrev=False
    )
    reporting.add_argument("file", type=Path, metavar="FILE", help="a scenario file, with its survey")
    reporting.add_argument(
        "-o",
        required=True,
        type=Path,
        dest="output",
        metavar="OUT",
        help="a .html, .pdf or .docx file to write, or .ics for the calendar",
    )
    reporting.add_argument("--us", action="store_true", help="US units, on Letter instead of A4")
    reporting.add_argument(
        "--letterhead",
        type=Path,
        metavar="TEXT",
        help="a .txt file with your letterhead; a picture of the same name is your mark",
    )
    reporting.add_argument(
        "--last", type=Path, metavar="FILE", help="the last survey of the same boat, to compare with"
    )


def _seed(text: str) -> int:
    if not text.isascii() or not text.isdigit() or len(text) > _DIGITS:
        raise argparse.ArgumentTypeError(f"{text[:_SHOWN]}: expected a whole number, 0 or more")
    return int(text)
