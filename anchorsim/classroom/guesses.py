"""What the class guessed: counts, and nothing that tells who guessed what; gone with the process."""

from __future__ import annotations

import hashlib
import secrets
import time
from collections.abc import Callable
from typing import Literal

_PHONES, _EACH, _WITHIN = 500, 6, 60.0  # phones counted, and guesses that one may send in so many seconds

Taken = Literal["counted", "unfit", "too often", "full"]


class Guesses:
    """One guess a phone, the last it sent.

    Phones are told apart by their address, of which a digest is kept with a secret that is made anew each
    time; so phones behind one address count once.
    """

    def __init__(self, choices: int, clock: Callable[[], float] = time.monotonic) -> None:
        self._choices, self._clock, self._secret = choices, clock, secrets.token_bytes(32)
        self._chosen: dict[bytes, int] = {}
        self._sent: dict[bytes, list[float]] = {}

    def take(self, client: str, body: bytes) -> Taken:
        """Count a guess: the place of its choice in digits."""
        if not body.isdigit() or len(body) > 2 or int(body) >= self._choices:
            return "unfit"
        who, now = hashlib.blake2b(client.encode(), key=self._secret).digest(), self._clock()
        if who not in self._sent and len(self._sent) >= _PHONES:
            return "full"
        sent = [then for then in self._sent.get(who, []) if now - then < _WITHIN]
        if len(sent) >= _EACH:
            return "too often"
        self._sent[who] = [*sent, now]
        self._chosen[who] = int(body)
        return "counted"

    def counts(self) -> list[int]:
        """How many chose each."""
        chosen = list(self._chosen.values())
        return [chosen.count(place) for place in range(self._choices)]
