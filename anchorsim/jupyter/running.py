"""An explorer that already runs for a person's folder: found again, and handed a page or a scenario to open.

A server holds a lock for as long as it lives, in a folder that only its person can read; Jupyter's own record
lies there, with its port and token.  Another program may have taken the port since: whoever answers on it has
to show that it knows the token before it is told it.
"""

from __future__ import annotations

import hashlib
import hmac
import json
import secrets
import tempfile
import urllib.parse
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from anchorsim.core.reading import NOTEBOOK, read_text
from anchorsim.jupyter.scratch import living

HOST = "127.0.0.1"
PROOF = "/anchorsim/proof"
OPEN = "/anchorsim/open"
_PATIENCE = 5.0  # s for an answer; a server on the same machine gives it in hundredths
_LONGEST = 10_000  # bytes of an answer that are read
_fetch = urllib.request.build_opener(urllib.request.ProxyHandler({})).open  # by no proxy


@dataclass(frozen=True)
class Running:
    """Where a server listens, and the key to it."""

    port: int
    token: str

    def page(self, notebook: str) -> str:
        """The address of a notebook, without the token."""
        return f"http://{HOST}:{self.port}/doc/tree/{urllib.parse.quote(notebook)}"

    def hand_over(self, notebook: str, scenario: Path) -> None:
        """Have the server start a notebook anew with a scenario.  Raises OSError where it does not answer."""
        body = json.dumps({"notebook": notebook, "scenario": str(scenario)}).encode()
        _ask(self.port, OPEN, body, {"Authorization": f"token {self.token}"})


def found(home: Path) -> Running | None:
    """The server that runs for this folder, if there is one and it shows that it is."""
    for folder in living(Path(tempfile.gettempdir())):
        for one in _recorded(folder / "runtime", home):
            if _proved(one):
                return one
    return None


def proof(token: str, challenge: str) -> str:
    """What only who knows the token can answer to a challenge."""
    return hmac.new(token.encode(), challenge.encode(), hashlib.sha256).hexdigest()


def _recorded(runtime: Path, home: Path) -> Iterator[Running]:
    for record in runtime.glob("jpserver-*.json"):
        try:
            held: Any = json.loads(read_text(record, NOTEBOOK))
            if held["root_dir"] == str(home) and held["token"]:
                yield Running(int(held["port"]), str(held["token"]))
        except (ValueError, KeyError, TypeError):  # gone since, or a record of another kind
            continue


def _proved(one: Running) -> bool:
    challenge = secrets.token_hex(16)
    try:
        answer = _ask(one.port, f"{PROOF}?challenge={challenge}")
    except (OSError, ValueError):
        return False
    return hmac.compare_digest(answer, proof(one.token, challenge).encode())


def _ask(port: int, path: str, body: bytes | None = None, headers: dict[str, str] | None = None) -> bytes:
    request = urllib.request.Request(f"http://{HOST}:{port}{path}", data=body, headers=headers or {})
    with _fetch(request, timeout=_PATIENCE) as answer:
        return bytes(answer.read(_LONGEST))
