"""The map of sheering says where its figures are approximate."""

from __future__ import annotations

import numpy as np

from anchorsim.dynamics.sheering import SheerMap, Side
from anchorsim.figures import where_she_sheers

SCOPES = Side("tackle.scope", "scope", "", np.array([3.0, 5.0]))
CENTRES = Side("boat.rig_centre", "centre of the rig", "m", np.array([0.0]))


def test_a_cell_whose_search_for_rest_was_broken_off_says_so() -> None:
    found = SheerMap(
        10.0, SCOPES, CENTRES, np.array([[0.02, -0.05]]), np.array([[40.0, 30.0]]), np.array([[True, True]]),
        np.array([["slow", "stable"]]), np.array([[False, True]]),
    )  # fmt: skip
    (cells,) = where_she_sheers(found).data
    assert list(cells.text[0]) == ["50?", ""]
    assert ["did not come to rest" in said for said in cells.customdata[0]] == [True, False]
