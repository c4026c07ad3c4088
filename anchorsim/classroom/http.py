"""As much of HTTP as the class needs: one short request on each connection, one answer, and no patience.

The standard library's own server gives every connection a thread and waits for it as long as it sends a byte
now and then; here the whole request has a deadline, a size and a form, and whatever differs is refused.
Nothing is looked up in any folder: what can be had are the answers in :class:`Routes`.
"""

from __future__ import annotations

import asyncio
import ipaddress
import re
import socket
from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

_LONGEST, _BODY = 8192, 16  # bytes of a request's head and of its body
_DIGITS = 3  # of how long a body says that it is
_ASKING, _ANSWERING = 10.0, 120.0  # s for a whole request, and for a phone to take the answer
_CHUNK = 65536
MOST, MOST_EACH = 256, 12  # connections at once, and of one address
_LINE = re.compile(rb"([A-Z]{1,10}) (/[!-~]{0,200}) HTTP/1\.[01]")
_HEADER = re.compile(rb"([A-Za-z0-9-]{1,60}):[ \t]*([\t -~\x80-\xff]*)")
_ONCE = ("host", "content-length", "origin")
_REASONS = {
    200: "OK", 204: "No Content", 400: "Bad Request", 403: "Forbidden", 404: "Not Found",
    405: "Method Not Allowed", 411: "Length Required", 413: "Content Too Large", 421: "Misdirected Request",
    429: "Too Many Requests", 503: "Service Unavailable",
}  # fmt: skip
_ALWAYS = {
    "Connection": "close",
    "Cache-Control": "no-store",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Content-Security-Policy": "frame-ancestors 'none'",
}


@dataclass(frozen=True)
class Request:
    """What was asked: ``headers`` by name in small letters; ``client`` is the address of who asks."""

    method: str
    path: str
    headers: Mapping[str, str]
    body: bytes
    client: str


@dataclass(frozen=True)
class Answer:
    """What is sent back."""

    status: int
    body: bytes = b""
    headers: Mapping[str, str] = field(default_factory=dict)


Routes = Mapping[tuple[str, str], Callable[[Request], Answer]]


class Door:
    """Answers the requests that come to one address; ``hosts`` are the names that it may be asked for by.

    A page of elsewhere cannot be made to read or send anything by having its name lead here: the name would
    stand in the request.
    """

    def __init__(self, routes: Routes, hosts: frozenset[str]) -> None:
        self._routes, self._hosts = routes, hosts
        self._open: Counter[str] = Counter()

    async def __call__(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        """One connection, from its first byte to its end."""
        client = str((writer.get_extra_info("peername") or ("",))[0])
        if self._open.total() >= MOST or self._open[client] >= MOST_EACH or not self._near(client):
            writer.transport.abort()
            return
        self._open[client] += 1
        try:
            await self._serve(reader, writer, client)
        except (TimeoutError, OSError, asyncio.IncompleteReadError):
            writer.transport.abort()  # gone, or too slow
        finally:
            self._open[client] -= 1
            self._open += Counter()  # forget who has left
            writer.close()

    def _near(self, client: str) -> bool:
        try:
            found = ipaddress.ip_address(client)
        except ValueError:
            return False
        return not found.is_global

    async def _serve(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter, client: str) -> None:
        async with asyncio.timeout(_ASKING):
            asked = await self._read(reader, client)
        answer = asked if isinstance(asked, Answer) else self._answer(asked)
        head = isinstance(asked, Request) and asked.method == "HEAD"
        async with asyncio.timeout(_ANSWERING):
            await _send(writer, answer, head)

    async def _read(self, reader: asyncio.StreamReader, client: str) -> Request | Answer:
        try:
            whole = await reader.readuntil(b"\r\n\r\n")
        except asyncio.LimitOverrunError:
            return Answer(413)
        first, *lines = whole[:-4].split(b"\r\n")
        line, found = _LINE.fullmatch(first), [_HEADER.fullmatch(each) for each in lines]
        named = [(each[1].decode().lower(), each[2].decode("latin-1").strip()) for each in found if each]
        names, headers = [name for name, _ in named], dict(named)
        hides = "transfer-encoding" in names or any(names.count(once) > 1 for once in _ONCE)
        if line is None or not all(found) or hides:
            return Answer(400)
        if headers.get("host") not in self._hosts:
            return Answer(421)
        length = headers.get("content-length", "0")
        if not (length.isascii() and length.isdigit()):
            return Answer(400)
        if len(length) > _DIGITS or int(length) > _BODY:
            return Answer(413)
        body = await reader.readexactly(int(length))
        return Request(line[1].decode(), line[2].decode(), headers, body, client)

    def _answer(self, asked: Request) -> Answer:
        method = "GET" if asked.method == "HEAD" else asked.method
        answer = self._routes.get((method, asked.path))
        if answer is None:
            known = any(path == asked.path for _, path in self._routes)
            return Answer(405 if known else 404)
        if method != "GET" and asked.headers.get("origin") not in {f"http://{host}" for host in self._hosts}:
            return Answer(403)  # sent by a page of elsewhere
        return answer(asked)


async def _send(writer: asyncio.StreamWriter, answer: Answer, head: bool) -> None:
    headers = {**_ALWAYS, **answer.headers, "Content-Length": str(len(answer.body))}
    lines = [
        f"HTTP/1.1 {answer.status} {_REASONS[answer.status]}",
        *(f"{k}: {v}" for k, v in headers.items()),
    ]
    writer.write(("\r\n".join(lines) + "\r\n\r\n").encode("latin-1"))
    body = memoryview(b"" if head else answer.body)
    for at in range(0, len(body), _CHUNK):
        writer.write(bytes(body[at : at + _CHUNK]))
        await writer.drain()
    writer.write_eof()
    await writer.drain()


async def listen(door: Door, place: socket.socket) -> asyncio.Server:
    """Open a door at a socket that is bound."""
    return await asyncio.start_server(door, sock=place, limit=_LONGEST, backlog=64)
