"""Change-overs that are smoothed say whether that converged; for their figures see ``risk/test_limits``."""

from __future__ import annotations

import functools

import numpy as np
import pytest
from scipy.optimize import elementwise

from anchorsim.numerics import threshold
from anchorsim.numerics.threshold import Smooth, smooth


def censored() -> Smooth:
    """Of 200 spells that change over about 30, a fifth beyond what was tried: up to 35."""
    random = np.random.default_rng(1)
    scores = random.standard_normal((200, 2))
    changes = 30.0 * np.exp(scores @ [0.1, 0.08] + random.normal(0.0, 0.1, 200))
    return smooth(np.where(changes > 35.0, np.inf, changes), scores, 15.0, 35.0, rising=True)


def test_spells_beyond_the_span_come_to_where_they_are_to_be_expected() -> None:
    assert censored().converged


def test_one_that_is_broken_off_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(threshold, "_ROUNDS", 3)
    assert not censored().converged


def test_a_crossing_that_is_not_found_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(elementwise, "find_root", functools.partial(elementwise.find_root, maxiter=2))
    with pytest.raises(RuntimeError, match=r"where 0\.05 of the spells change over was not found\. Expected"):
        censored().crossing(0.05, 15.0, 35.0)


def test_an_end_of_the_band_beyond_all_numbers_is_infinite() -> None:
    """Resamples a thousand of their own errors apart: e to a thousand is more than a float can be."""
    laws = np.array([[3.0, 1.0, 0.0, 0.0], [4.0, 1e-3, 0.0, 0.0], [2.0, 1e-3, 0.0, 0.0]])
    rests = np.linspace(-1e-3, 1e-3, 30) * np.ones((3, 1))
    found = Smooth(True, laws, rests, True).crossing(0.5, 1.0, 100.0)
    assert found is not None and found.likely == pytest.approx(np.exp(3.0), rel=1e-3)
    assert (found.low, found.high) == (0.0, np.inf)
