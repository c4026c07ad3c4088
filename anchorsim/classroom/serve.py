"""Handing the page out in the room: it goes to phones on its network, counts of guesses to the instructor.

Two doors.  The class's is on one address of the room's network and gives the page and takes guesses.  The
instructor's is on this computer only and shows the address, a code to point a phone at, and the counts.
Neither leads to a file, a kernel or a server of anything else.
"""

from __future__ import annotations

import asyncio
import gzip
import ipaddress
import json
import os
import socket
import sys
from collections.abc import Callable
from dataclasses import dataclass
from importlib.resources import files

import segno

from anchorsim.classroom.guesses import Guesses
from anchorsim.classroom.http import Answer, Door, Request, listen
from anchorsim.classroom.policy import policy
from anchorsim.core import markup
from anchorsim.core.errors import AnchorsimError, sentence
from anchorsim.core.units import quoted

PORT = 8080  # short to type; a free one is taken where it is in use
_HERE = "127.0.0.1"
_NOWHERE = "192.0.2.1"  # an address for examples (RFC 5737): asking the way there sends nothing
_STATUS = {"counted": 204, "unfit": 400, "too often": 429, "full": 503}


class HandoutError(AnchorsimError):
    """A page that cannot be handed out."""


@dataclass(frozen=True)
class Handout:
    """What is handed out: the ``page``, and what the instructor sees of it."""

    page: str
    title: str
    question: str
    choices: tuple[str, ...]
    told: str


@dataclass(frozen=True)
class Opened:
    """Where the class's page and the instructor's are."""

    address: str
    instructor: str

    def code(self) -> segno.QRCode:
        """The class's address as a code that a phone's camera reads (ISO/IEC 18004)."""
        return segno.make_qr(self.address, error="m")


def room_address(given: str = "") -> str:
    """The address of this computer on the room's network, or the one ``given`` if it is fit for that.

    Raises HandoutError where there is none, and for one that the whole internet could reach.
    """
    advice = "join the room's network, or hand out the file instead (-o)"
    try:
        found = ipaddress.ip_address(given or _own_address())
    except ValueError:
        said = sentence(
            "not an address", "an IPv4 address of this computer, such as 192.168.1.20", "correct it"
        )
        raise HandoutError(f"--address {quoted(given)}: {said}") from None
    except OSError:
        raise HandoutError(f"--serve: {sentence('no network', '', advice)}") from None
    if found.version != 4 or found.is_unspecified or found.is_multicast or found.is_global:
        fits = "the IPv4 address of this computer on a private network"
        raise HandoutError(f"--serve: {sentence(f'{found} is not private to a room', fits, advice)}")
    return str(found)


def _own_address() -> str:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        asking.connect((_NOWHERE, 9))
        return str(asking.getsockname()[0])


async def hand_out(
    handout: Handout, address: str, port: int | None = None, *, ready: Callable[[Opened], None]
) -> None:
    """Serve until cancelled; ``ready`` is told where.  Raises HandoutError where a port cannot be had."""
    guesses = Guesses(len(handout.choices))
    with _bound(address, port) as theirs, _bound(_HERE, 0) as mine:
        hosts = ["{}:{}".format(*place.getsockname()) for place in (theirs, mine)]
        opened = Opened(*(f"http://{host}/" for host in hosts))
        routes = _for_the_class(handout, guesses), _for_the_instructor(handout, guesses, opened)
        doors = [
            Door(routes_of, frozenset({host, host.removesuffix(":80")}))
            for routes_of, host in zip(routes, hosts, strict=True)
        ]
        servers = [await listen(door, place) for door, place in zip(doors, (theirs, mine), strict=True)]
        try:
            ready(opened)
            await asyncio.Event().wait()
        finally:
            for server in servers:
                server.close()


def _bound(address: str, port: int | None) -> socket.socket:
    """A socket at the port wanted; where none is, at the usual one or a free one."""
    for wanted in (PORT, 0) if port is None else (port,):
        place = socket.socket()
        if os.name == "posix":  # elsewhere it would let another program listen there too
            place.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            place.bind((address, wanted))
        except (OSError, OverflowError) as error:
            place.close()
            reason = getattr(error, "strerror", None) or str(error)
        else:
            return place
    said = sentence(f"cannot be used ({reason})", "a free port at an address of this computer")
    raise HandoutError(f"{address}, port {port}: {said} Choose another with --port or --address.")


def _for_the_class(handout: Handout, guesses: Guesses) -> dict[tuple[str, str], Callable[[Request], Answer]]:
    whole = handout.page.encode()
    small = gzip.compress(whole, 6)
    kind = {"Content-Type": "text/html; charset=utf-8", "Vary": "Accept-Encoding"}

    def page(asked: Request) -> Answer:
        if "gzip" in asked.headers.get("accept-encoding", ""):
            return Answer(200, small, {**kind, "Content-Encoding": "gzip"})
        return Answer(200, whole, kind)

    def guess(asked: Request) -> Answer:
        return Answer(_STATUS[guesses.take(asked.client, asked.body)])

    return {("GET", "/"): page, ("POST", "/guess"): guess}


def _for_the_instructor(
    handout: Handout, guesses: Guesses, opened: Opened
) -> dict[tuple[str, str], Callable[[Request], Answer]]:
    texts = {
        name: files("anchorsim.classroom").joinpath(name).read_text("utf-8")
        for name in ("page.css", "counts.js")
    }
    page = markup.page(
        "classroom/counts.html",
        handout=handout,
        address=opened.address,
        code=markup.trusted(opened.code().svg_inline(scale=6, light="#fff")),
        policy=policy(texts["counts.js"], asks=True),
        style=markup.trusted(texts["page.css"]),
        script=markup.trusted(texts["counts.js"]),
    ).encode()

    def counts(_: Request) -> Answer:
        return Answer(200, json.dumps(guesses.counts()).encode(), {"Content-Type": "application/json"})

    def shown(_: Request) -> Answer:
        return Answer(200, page, {"Content-Type": "text/html; charset=utf-8"})

    return {("GET", "/"): shown, ("GET", "/counts"): counts}


def until_stopped(handout: Handout, address: str, port: int | None) -> None:
    """Serve till Ctrl-C, with the addresses on standard output.  Raises HandoutError as :func:`hand_out`."""

    def tell(opened: Opened) -> None:
        print(f"For the class, on this network: {opened.address}")
        if sys.stdout.isatty():
            opened.code().terminal(compact=True)
        print(f"For you, on this computer only: {opened.instructor} (the code and the guesses)")
        print(
            "Anyone on this network can open the page. Press Ctrl-C to stop; the guesses are then gone.",
            flush=True,
        )

    asyncio.run(hand_out(handout, address, port, ready=tell))
