"""A second start for the same folder opens the explorer that runs, and no stranger is told its token."""

from __future__ import annotations

import errno
import http.server
import json
import socket
import subprocess
import sys
import tempfile
import threading
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import SimpleNamespace

import pytest

from anchorsim.jupyter import running
from anchorsim.jupyter.scratch import scratch
from anchorsim.jupyter.server import Server

TOKEN = "a-token-of-24-bytes"


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A person's folder, and a folder of passing files of its own."""
    (tmp_path / "tmp").mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "tmp"))
    return tmp_path / "home"


def record(folder: Path, home: Path, port: int) -> None:
    """As Jupyter writes it."""
    (folder / "runtime").mkdir()
    held = {"root_dir": str(home), "port": port, "token": TOKEN, "pid": 1}
    (folder / "runtime" / "jpserver-1.json").write_text(json.dumps(held), encoding="utf-8")


@contextmanager
def answering(token: str | None) -> Iterator[tuple[int, list[str]]]:
    """A server on a free port that can, or cannot, answer a challenge; all that it is told."""
    heard: list[str] = []

    class Answers(http.server.BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            heard.append(self.path + str(self.headers))
            challenge = self.path.partition("challenge=")[2]
            answer = running.proof(token, challenge) if token else challenge
            self.send_response(200)
            self.end_headers()
            self.wfile.write(answer.encode())

        def log_message(self, *_: object) -> None:
            pass

    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), Answers) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield server.server_address[1], heard
        server.shutdown()


def test_the_one_that_runs_is_found_by_its_folder(home: Path) -> None:
    with scratch() as passing, answering(TOKEN) as (port, heard):
        record(passing, home, port)
        assert running.found(home) == running.Running(port, TOKEN)
        assert running.found(home.with_name("another")) is None
    assert TOKEN not in "".join(heard)


def test_a_stranger_on_its_port_is_told_nothing(home: Path) -> None:
    for knows in (None, "another token"):
        with scratch() as passing, answering(knows) as (port, heard):
            record(passing, home, port)
            assert running.found(home) is None
        assert len(heard) == 1
        assert TOKEN not in "".join(heard)


def test_what_a_dead_one_left_is_not_taken_for_it(home: Path) -> None:
    with answering(TOKEN) as (port, heard):
        left = Path(tempfile.gettempdir(), "anchorsim-left")
        left.mkdir()
        (left / "owner").touch()  # and nobody holds it
        record(left, home, port)
        assert running.found(home) is None
    assert heard == []


def test_a_record_that_is_none_and_a_port_where_nobody_is_are_passed_over(home: Path) -> None:
    with scratch() as passing:
        (passing / "runtime").mkdir()
        for number, text in enumerate(("", "[]", '{"root_dir": 1}', '{"root_dir": "x", "port": "y"}')):
            (passing / "runtime" / f"jpserver-{number}.json").write_text(text, encoding="utf-8")
        with answering(TOKEN) as (port, _):
            pass
        (passing / "runtime" / "jpserver-9.json").write_text(
            json.dumps({"root_dir": str(home), "port": port, "token": TOKEN}), encoding="utf-8"
        )
        assert running.found(home) is None


# --- The real command ---------------------------------------------------------------------------------------

SCENARIO = 'format = 1\n[spot]\ndepth = "7.5 m"\n'


def command(home: Path, *more: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-m", "anchorsim", "open", "--no-browser", "--folder", str(home), *more],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        env=None,
    )


def address(process: subprocess.Popen[str]) -> str:
    assert process.stdout is not None
    said = []
    for line in process.stdout:
        said.append(line)
        if "token=" in line:
            return line.strip()
    pytest.fail("".join(said))


def asked(url: str, path: str) -> list[dict[str, object]]:
    origin, _, token = url.partition("/doc/tree/explorer.ipynb?token=")
    request = urllib.request.Request(origin + path, headers={"Authorization": f"token {token}"})
    with urllib.request.urlopen(request, timeout=20) as answer:
        return list(json.load(answer))


def test_of_two_starts_at_once_one_serves_and_the_other_finds_it(tmp_path: Path) -> None:
    home, scenario = tmp_path / "home", tmp_path / "mine.toml"
    scenario.write_text(SCENARIO, encoding="utf-8")
    first, second = command(home), command(home)
    try:
        addresses = [address(first), address(second)]
        assert addresses[0] == addresses[1]
        until = time.monotonic() + 20.0
        while first.poll() is None and second.poll() is None and time.monotonic() < until:
            time.sleep(0.05)
        serving, done = (first, second) if first.poll() is None else (second, first)
        assert serving.poll() is None and done.poll() == 0

        kernel = asked(addresses[0], "/api/sessions")[0]["id"]
        third = command(home, str(scenario))
        assert address(third) == addresses[0]
        assert third.wait(20) == 0
        assert [one["id"] for one in asked(addresses[0], "/api/sessions")] != [kernel]
        environment = next(
            text
            for text in map(_environment, Path("/proc").glob("[0-9]*/environ"))
            if f"ANCHORSIM_SCENARIO={scenario}\0" in text and "JPY_SESSION_NAME" in text
        )
        assert "ANCHORSIM_START=" in environment

        with pytest.raises(urllib.error.HTTPError, match="403"):
            urllib.request.urlopen(addresses[0].partition("/doc")[0] + running.OPEN, data=b"{}", timeout=20)
    finally:
        for process in (first, second):
            process.terminate()
            process.wait(20)


def _environment(path: Path) -> str:
    try:
        return path.read_bytes().decode(errors="replace")
    except OSError:  # another's, or gone
        return ""


@pytest.mark.parametrize("retries", [0, 5])
def test_a_port_that_another_start_took_meanwhile_is_left_to_it(retries: int) -> None:
    """Found free by both, it is bound by one; the other goes on to the next, unless a person named it."""
    with socket.create_server(("127.0.0.1", 0)) as other:
        taken = other.getsockname()[1]

        def listen(port: int, _: str) -> None:
            if port == taken:
                raise OSError(errno.EADDRINUSE, "taken")

        server = Server(ip="127.0.0.1", port=taken, port_retries=retries)
        server._http_server = SimpleNamespace(listen=listen)
        assert server._bind_http_server_tcp() is (retries > 0)
        assert (server.port == taken) is (retries == 0)
