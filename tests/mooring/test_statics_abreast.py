"""The rode's step written a second time, in arrays, gives what the kernel's does: step for step the same."""

from __future__ import annotations

import numpy as np
import pytest
from benchmarks.vectorised import BARE, by_numpy, marched, problem


@pytest.mark.parametrize("changed", [{}, BARE], ids=["snubber", "bare chain"])
def test_the_step_in_arrays_is_the_kernels(changed):
    """Snatches of three spells on waves; peaks to nine digits."""
    given = problem(3, 12.0, changed)
    peaks = marched(given, slice(None))
    assert len(set(peaks)) == 3
    np.testing.assert_allclose(by_numpy(given), peaks, rtol=1e-9)
