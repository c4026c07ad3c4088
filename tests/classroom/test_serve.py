"""The page handed out: what the class and the instructor can have, and what a hostile client cannot.

Plain sockets on this machine; the class's door is at another address of it than the instructor's.
"""

from __future__ import annotations

import asyncio
import contextlib
import gzip
import json
import socket
import sys
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass, replace
from urllib.parse import urlsplit

import pytest

from anchorsim.classroom import http, serve
from anchorsim.classroom.guesses import Guesses
from anchorsim.classroom.serve import Handout, HandoutError, Opened, hand_out, room_address

ROOM = "127.0.0.2" if sys.platform == "linux" else "127.0.0.1"  # other systems have one address of their own
PAGE = "<!doctype html><title>The page</title>" + "x" * 300_000
HANDOUT = Handout(PAGE, "<b>Title</b>", "How much?", ("less", "same", "more"), "It was more.")


@dataclass
class Served:
    """A page that is handed out, and plain requests of it."""

    opened: Opened

    @property
    def room(self) -> str:
        return urlsplit(self.opened.address).netloc

    def ask(self, whole: bytes, at: str = "", wait: float = 5.0) -> bytes:
        """What comes back to some bytes, as far as the connection lasts."""
        host, _, port = (at or self.room).rpartition(":")
        with socket.create_connection((host, int(port)), timeout=wait) as line:
            with contextlib.suppress(BrokenPipeError, ConnectionResetError):
                line.sendall(whole)
            found = b""
            with contextlib.suppress(ConnectionResetError):
                while some := line.recv(65536):
                    found += some
            return found

    def get(
        self, path: str, at: str = "", method: str = "GET", headers: str = "", body: str = ""
    ) -> tuple[int, bytes]:
        place = at or self.room
        length = f"Content-Length: {len(body)}\r\n" if body else ""
        answer = self.ask(
            f"{method} {path} HTTP/1.1\r\nHost: {place}\r\n{length}{headers}\r\n{body}".encode(), place
        )
        head, _, rest = answer.partition(b"\r\n\r\n")
        return int(head.split()[1]) if head else 0, rest

    def guess(self, body: str, origin: str | None = None) -> int:
        return self.get(
            "/guess", method="POST", headers=f"Origin: {origin or f'http://{self.room}'}\r\n", body=body
        )[0]

    def counts(self) -> list[int]:
        counts: list[int] = json.loads(self.get("/counts", urlsplit(self.opened.instructor).netloc)[1])
        return counts


@contextlib.contextmanager
def handed_out(handout: Handout = HANDOUT) -> Iterator[Served]:
    opened: list[Opened] = []
    ready, loop = threading.Event(), asyncio.new_event_loop()

    def tell(found: Opened) -> None:
        opened.append(found)
        ready.set()

    task = loop.create_task(hand_out(handout, ROOM, 0, ready=tell))

    def run() -> None:
        with contextlib.suppress(asyncio.CancelledError):
            loop.run_until_complete(task)
        loop.close()

    thread = threading.Thread(target=run)
    thread.start()
    assert ready.wait(10)
    try:
        yield Served(opened[0])
    finally:
        loop.call_soon_threadsafe(task.cancel)
        thread.join(10)
        assert not thread.is_alive()


@pytest.fixture
def served() -> Iterator[Served]:
    with handed_out() as found:
        yield found


def test_the_class_has_the_page_whole_or_compressed(served: Served) -> None:
    assert served.get("/") == (200, PAGE.encode())
    status, small = served.get("/", headers="Accept-Encoding: gzip, br\r\n")
    assert status == 200 and gzip.decompress(small) == PAGE.encode()
    assert served.get("/", method="HEAD") == (200, b"")
    head = served.ask(f"GET / HTTP/1.1\r\nHost: {served.room}\r\n\r\n".encode()).partition(b"\r\n\r\n")[0]
    assert b"frame-ancestors 'none'" in head and b"nosniff" in head and b"Server" not in head


def test_guesses_are_counted_for_the_instructor_alone(served: Served) -> None:
    assert served.counts() == [0, 0, 0]
    assert served.guess("2") == 204
    assert served.counts() == [0, 0, 1]
    assert served.guess("1") == 204  # the same phone thinks again
    assert served.counts() == [0, 1, 0]
    assert served.get("/counts")[0] == 404
    status, shown = served.get("/", urlsplit(served.opened.instructor).netloc)
    assert status == 200 and b"&lt;b&gt;Title" in shown and served.room.encode() in shown and b"<svg" in shown


@pytest.mark.parametrize("body", ["3", "-1", "1.5", "x", "", "²", "999", "0" * 17, '{"choice":1}'])
def test_a_guess_that_is_none_is_not_counted(served: Served, body: str) -> None:
    assert served.guess(body) in (400, 413)
    assert sum(served.counts()) == 0


def test_a_page_of_elsewhere_can_neither_guess_nor_read(served: Served) -> None:
    for origin in ("http://elsewhere.example", "null", f"https://{served.room}", "http://127.0.0.1"):
        assert served.guess("1", origin) == 403
    assert served.get("/guess", method="POST", body="1")[0] == 403
    for host in ("elsewhere.example", "localhost", f"elsewhere.example:{served.room.partition(':')[2]}", ""):
        answer = served.ask(f"GET / HTTP/1.1\r\nHost: {host}\r\n\r\n".encode())
        assert answer.startswith(b"HTTP/1.1 421 ")
    assert sum(served.counts()) == 0


@pytest.mark.parametrize(
    "path",
    [
        "/../../etc/passwd",
        "/%2e%2e/%2e%2e/etc/passwd",
        "/..%5c..%5cwindows",
        "/etc/passwd",
        "//etc/passwd",
        "/lab",
        "/tree",
        "/api/kernels",
        "/api/contents",
        "/files/",
        "/?token=",
        "/page.py",
        "/.anchorsim",
        "/favicon.ico",
        "/index.html",
        "/guess",
        "/%00",
    ],
)
def test_no_other_path_leads_anywhere(served: Served, path: str) -> None:
    status, body = served.get(path)
    assert status in (404, 405) and body == b""


@pytest.mark.parametrize(
    "asked",
    [
        b"PUT / HTTP/1.1",
        b"DELETE / HTTP/1.1",
        b"OPTIONS * HTTP/1.1",
        b"TRACE / HTTP/1.1",
        b"CONNECT x:1 HTTP/1.1",
        b"POST / HTTP/1.1",
        b"GET http://elsewhere.example/ HTTP/1.1",
        b"GET / HTTP/2",
        b"GET /",
        b"get / HTTP/1.1",
        b"GET  / HTTP/1.1",
        b"GET /\x00 HTTP/1.1",
        b"\x16\x03\x01\x02\x00\x01\x00",
        b"GET /\xff HTTP/1.1",
    ],
)
def test_other_methods_and_other_languages_are_refused(served: Served, asked: bytes) -> None:
    answer = served.ask(asked + f"\r\nHost: {served.room}\r\n\r\n".encode())
    assert answer[:13] in (b"HTTP/1.1 400 ", b"HTTP/1.1 404 ", b"HTTP/1.1 405 ")
    assert answer.endswith(b"\r\n\r\n")


def test_requests_that_hide_another_are_refused(served: Served) -> None:
    start = f"POST /guess HTTP/1.1\r\nHost: {served.room}\r\nOrigin: http://{served.room}\r\n"
    for more in (
        "Transfer-Encoding: chunked\r\n\r\n1\r\n1\r\n0\r\n\r\n",
        "Content-Length: 1\r\nContent-Length: 2\r\n\r\n11",
        "Content-Length: ²\r\n\r\n1",
        "Content-Length: +1\r\n\r\n1",
        "Content-Length: 1, 1\r\n\r\n1",
        "Content-Length : 1\r\n\r\n1",
        "Content-Length: 1\r\n folded: yes\r\n\r\n1",
        f"Host: {served.room}\r\nContent-Length: 1\r\n\r\n1",
    ):
        assert served.ask((start + more).encode()).startswith(b"HTTP/1.1 400 "), more
    twice = (start + "Content-Length: 1\r\n\r\n1").encode()
    assert served.ask(2 * twice).count(b"HTTP/1.1") == 1
    assert sum(served.counts()) == 1


def test_what_is_too_large_is_not_read(served: Served) -> None:
    for whole in (
        b"GET / HTTP/1.1\r\n" + b"x: " + b"y" * 3_000_000,
        b"G" * 3_000_000,
        b"GET / HTTP/1.1\r\n" + b"a: b\r\n" * 500_000,
        f"POST /guess HTTP/1.1\r\nHost: {served.room}\r\nContent-Length: 900000000\r\n\r\n".encode()
        + b"1" * 3_000_000,
        f"POST /guess HTTP/1.1\r\nHost: {served.room}\r\nContent-Length: {'9' * 99}\r\n\r\n1".encode(),
    ):
        assert served.ask(whole)[:13] in (b"HTTP/1.1 413 ", b"")
    assert served.get("/")[0] == 200


def test_slow_and_silent_clients_are_left_and_hold_nobody_up(
    served: Served, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(http, "_ASKING", 0.6)
    host, _, port = served.room.rpartition(":")
    with socket.create_connection((host, int(port)), timeout=5) as silent:
        assert served.get("/")[0] == 200  # meanwhile
        with contextlib.suppress(ConnectionResetError):
            assert silent.recv(1) == b""
    for part in (
        b"G",
        b"GET / HTTP/1.1\r\nHost: x",
        f"POST /guess HTTP/1.1\r\nHost: {served.room}\r\nContent-Length: 9\r\n\r\n1".encode(),
    ):
        assert served.ask(part) == b""  # hung up on, long before the wait of five seconds is over


def test_a_phone_that_takes_nothing_is_left(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(http, "_ANSWERING", 0.6)
    large = replace(HANDOUT, page="x" * 12_000_000)  # more than lies on the way between two sockets
    with handed_out(large) as served, contextlib.ExitStack() as stack:
        host, _, port = served.room.rpartition(":")
        lines = [
            stack.enter_context(socket.create_connection((host, int(port)), timeout=5)) for _ in range(4)
        ]
        for line in lines:
            line.sendall(f"GET / HTTP/1.1\r\nHost: {served.room}\r\n\r\n".encode())
        time.sleep(1.2)
        for line in lines:
            taken = 0
            with contextlib.suppress(ConnectionResetError):
                while some := line.recv(1_000_000):
                    taken += len(some)
            assert taken < 12_000_000
        assert served.get("/", headers="Accept-Encoding: gzip\r\n")[0] == 200


def test_many_connections_of_one_phone_do_not_shut_out_the_next(served: Served) -> None:
    host, _, port = served.room.rpartition(":")
    with contextlib.ExitStack() as stack:
        lines = [
            stack.enter_context(socket.create_connection((host, int(port)), timeout=5)) for _ in range(60)
        ]
        closed = 0
        for line in lines[http.MOST_EACH :]:
            with contextlib.suppress(ConnectionResetError):
                assert line.recv(1) == b""
            closed += 1
        assert closed == 60 - http.MOST_EACH
        assert served.counts() == [0, 0, 0]  # the instructor's door is another
    assert served.get("/")[0] == 200


def test_a_phone_may_not_guess_for_ever(served: Served) -> None:
    assert [served.guess("0") for _ in range(8)] == [204] * 6 + [429] * 2
    assert served.counts() == [1, 0, 0]


def test_phones_are_counted_once_each_up_to_a_class_of_five_hundred() -> None:
    now = [0.0]
    guesses = Guesses(3, clock=lambda: now[0])
    for k in range(500):
        assert guesses.take(f"10.0.{k // 250}.{k % 250}", b"%d" % (k % 3)) == "counted"
    assert guesses.take("10.0.9.9", b"1") == "full"
    assert guesses.counts() == [167, 167, 166]
    for _ in range(5):
        assert guesses.take("10.0.0.0", b"2") == "counted"
    assert guesses.take("10.0.0.0", b"2") == "too often"
    now[0] += 61.0
    assert guesses.take("10.0.0.0", b"1") == "counted"
    assert guesses.counts() == [166, 168, 166]
    assert b"10.0.0.0" not in b"".join(guesses._chosen) and "10.0.0.0" not in repr(vars(guesses))


def test_only_the_rooms_address_is_open_and_all_is_gone_at_the_end() -> None:
    with handed_out() as served:
        assert served.guess("1") == 204
        host, _, port = served.room.rpartition(":")
        if host != "127.0.0.1":
            with (
                pytest.raises(ConnectionRefusedError),
                socket.create_connection(("127.0.0.1", int(port)), timeout=2),
            ):
                pass
        instructor = urlsplit(served.opened.instructor)
        assert instructor.hostname == "127.0.0.1"
    for place in (served.room, instructor.netloc):
        host, _, port = place.rpartition(":")
        with pytest.raises(ConnectionRefusedError), socket.create_connection((host, int(port)), timeout=2):
            pass
    with handed_out() as again:
        assert again.counts() == [0, 0, 0]


def test_clients_from_outside_a_private_network_are_not_heard() -> None:
    door = http.Door({}, frozenset())
    for client, near in {
        "192.168.1.7": True, "10.1.2.3": True, "172.20.0.1": True, "169.254.3.4": True,
        "100.64.1.1": True, "8.8.8.8": False,
        "172.32.0.1": False, "2001:4860:4860::8888": False, "": False, "x": False,
    }.items():  # fmt: skip
        assert door._near(client) is near, client


@pytest.mark.parametrize(
    "given", ["8.8.8.8", "0.0.0.0", "224.0.0.1", "::1", "x", "127.0.0.1:80", "192.168.1"]
)
def test_addresses_that_are_none_of_a_room_are_refused(given: str) -> None:
    with pytest.raises(HandoutError, match=r"--(serve|address)"):
        room_address(given)


def test_an_address_that_cannot_be_had_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    assert room_address("127.0.0.1") == "127.0.0.1"

    async def refused(address: str, port: int) -> str:
        with pytest.raises(HandoutError) as told:
            await hand_out(HANDOUT, address, port, ready=lambda _: None)
        return str(told.value)

    assert asyncio.run(refused("10.255.255.254", 8080)).startswith(
        "10.255.255.254, port 8080: cannot be used ("
    )
    assert asyncio.run(refused("127.0.0.1", 99999)).startswith("127.0.0.1, port 99999: cannot be used (")

    def no_way() -> str:
        raise OSError("Network is unreachable")

    monkeypatch.setattr(serve, "_own_address", no_way)
    with pytest.raises(HandoutError, match="no network"):
        room_address()
