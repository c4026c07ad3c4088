"""The command that makes the class's page and hands it out."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest

from anchorsim.cli import main

SCOPES = ("--over", "tackle.scope=3,5")


@pytest.fixture
def scenario(tmp_path: Path) -> Path:
    path = tmp_path / "class.toml"
    path.write_text(
        'format = 1\ntitle = "For the class"\n[weather]\nmean_wind = "20 knot"\n', encoding="utf-8"
    )
    return path


def test_a_page_is_written(scenario: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = scenario.with_name("page.html")
    over = [*SCOPES, "--over", 'weather.mean_wind="15 knot", 25 knot']
    assert main(["page", str(scenario), *over, "--minutes", "1", "--title", "How much?", "-o", str(out)]) == 0
    said, progress = capsys.readouterr()
    assert said == f"Page saved: {out}\n" and "100% simulated" in progress
    assert "<h1>How much?</h1>" in out.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ((*SCOPES,), "page: nothing to do with it. Expected -o OUT, --serve or both."),
        (
            (*SCOPES, "-o", "page.pdf"),
            "page.pdf: unknown kind of file. Expected a name that ends in .html.",
        ),
        (("-o", "x.html"), "over: no path. Expected 1 to 3."),
        (
            ("--over", "tackle.scope", "-o", "x.html"),
            "--over tackle.scope: incomplete. Expected PATH=V1,V2,…",
        ),
        ((*SCOPES, *SCOPES, "-o", "x.html"), "--over tackle.scope: twice."),
        (("--over", "tackle.scop=3,5", "-o", "x.html"), 'over "tackle.scop": unknown path.'),
        (("--over", "tackle.scope=3,,5", "-o", "x.html"), "tackle.scope (Scope): "),
        (("--over", "spot.depth=5 m,5 kg", "-o", "x.html"), "spot.depth (Charted depth): "),
        ((*SCOPES, "--minutes", "99", "-o", "x.html"), "minutes: 99.0 is out of range"),
        ((*SCOPES, "--serve", "--address", "8.8.8.8"), "--serve: 8.8.8.8 is not private to a room."),
        ((*SCOPES, "-o", "missing/folder/x.html", "--minutes", "1"), "missing/folder/x.html"),
    ],
)
def test_what_does_not_fit_is_told_in_a_sentence(
    scenario: Path, given: tuple[str, ...], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["page", str(scenario), *given]) == 2
    assert said in capsys.readouterr().err


def test_a_file_that_is_missing_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["page", "nowhere.toml", *SCOPES, "-o", "x.html"]) == 2
    assert "nowhere.toml" in capsys.readouterr().err


@pytest.mark.skipif(os.name != "posix", reason="another system sends Ctrl-C in another way")
def test_it_is_handed_out_until_ctrl_c(scenario: Path) -> None:
    given = ["page", str(scenario), *SCOPES, "--minutes", "1", "--serve", "--port", "0"]
    given += ["--address", "127.0.0.1"]
    # whoever started the tests may have had all beneath ignore it
    heard = "import signal; signal.signal(signal.SIGINT, signal.default_int_handler)"
    run = f"{heard}; from anchorsim.cli import main; raise SystemExit(main())"
    command = [sys.executable, "-c", run, *given]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True) as running:
        assert running.stdout
        address = running.stdout.readline().split()[-1]
        instructor = running.stdout.readline()
        assert "on this computer only: http://127.0.0.1:" in instructor
        with urllib.request.urlopen(address, timeout=10) as answer:
            assert b"For the class" in answer.read()
        running.send_signal(signal.SIGINT)
        assert running.wait(10) == 130
    port = int(address.rstrip("/").rpartition(":")[2])
    with pytest.raises(ConnectionRefusedError), socket.create_connection(("127.0.0.1", port), timeout=2):
        pass
