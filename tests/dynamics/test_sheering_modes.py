"""Which motions are the boat's: one that sways and cannot yaw is a pendulum on her rode."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from anchorsim.dynamics.line_motion import EX, TENSION
from anchorsim.dynamics.sheering import at_rest, modes
from anchorsim.scenario.scenario import Scenario


def test_a_boat_that_cannot_yaw_swings_as_a_pendulum_and_that_is_hers() -> None:
    """ω = √(T/(m l)) of a mass with that of its water (closed form), l the way from the anchor to the bow.

    Of her own motions there is besides that none but her heading, which so much inertia holds; the rode's sag
    and its own mass take a hundredth off.
    """
    bare = Scenario().vary({"tackle.snubber.length": "0 m", "tackle.chain.length": "60 m", "tackle.scope": 5})
    spell, rest, *_ = at_rest(bare, 15.0)
    body = spell.body._replace(
        yaw_inertia=1e12, added_sway_yaw=0.0, strip_drag=(0.0,) * len(spell.body.strip_drag), 
        keel_lift_slope=0.0, rudder_lift_slope=0.0, plate_drag=0.0,
    )  # fmt: skip
    values, hers = modes(replace(spell, body=body), rest)
    pull = float(-rest.rows[-1, TENSION] * rest.rows[-1, EX])
    length = float(np.hypot(*rest.boat[:2])) - body.roller
    found = values[hers & (values.imag > 1e-3)]
    assert len(found) == 1
    assert found[0].imag == pytest.approx(math.sqrt(pull / (body.mass + body.added_sway) / length), rel=0.02)
