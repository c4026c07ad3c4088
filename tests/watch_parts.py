"""What the tests of the boat's motion share: a watch put together from parts that can be left out."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from anchorsim import line, seabed
from anchorsim import swing_kernel as kernel
from anchorsim.boat import Hull, hull
from anchorsim.curve_kernel import SHARE
from anchorsim.rode import lay_out
from anchorsim.scenario import Scenario
from anchorsim.swing import lie, setting_of

KNOT = 1852.0 / 3600.0
# An anchor that nothing moves, so that dragging does not cap the load: far too heavy, in stiff clay; and for
# what would move even that, at the far end of the scatter of its holding.
HEAVY = {"tackle.anchor.mass": "200 kg", "spot.bottom": "stiff clay"}
SURE = 0.99
ROW = {
    "time": 0,
    "x": 1,
    "y": 2,
    "heading": 3,
    "at_bow": 4,
    "at_anchor": 5,
    "lift": 6,
    "anchor_x": 9,
    "anchor_y": 10,
}


@dataclass(frozen=True)
class Watch:
    """The kernel's arguments: the boat, what surrounds her, the rode's curve."""

    body: Hull
    setting: kernel.Setting
    curve: line.Curve

    def boat(self, **changes: Any) -> Watch:
        return replace(self, body=self.body._replace(**changes))

    def around(self, **changes: Any) -> Watch:
        return replace(self, setting=self.setting._replace(**changes))

    def without_damping(self) -> Watch:
        """No water drag, no air, no loss in rope, no friction of what lies: all forces have a potential."""
        packed = self.curve.packed.copy()
        packed[SHARE] = 0.0
        dry = self.boat(
            strip_drag=(0.0,) * 7, surge_drag=0.0, astern_drag=0.0, wave_drag=0.0, hump_drag=0.0,
            keel_slope=0.0, rudder_slope=0.0, plate_drag=0.0,
        )  # fmt: skip
        return replace(dry.around(air=0.0, lying_friction=0.0), curve=line.Curve(packed))

    def drag(self, speed: float) -> float:
        """What the water holds her with, N, at a speed ahead (m/s) below the hump: ½ρ (A + A_w Fn²) u|u|."""
        b = self.body
        area = (b.surge_drag if speed > 0.0 else b.astern_drag) + b.wave_drag * b.froude * speed**2
        return 0.5 * 1025.0 * area * speed * abs(speed)

    def at_rest(self, wind: float = 0.0) -> np.ndarray:
        """The kernel's state lying head to a steady wind from the north, m/s."""
        return lie(self.body, self.setting, self.curve, np.array([-wind, 0.0]))

    def put(self, x: float, y: float, heading: float, *speeds: float) -> np.ndarray:
        """The kernel's state anywhere, with speeds ahead, abeam, of turning; the rode straight."""
        state = self.at_rest()
        state[: kernel.MOVING] = x, y, heading, *(speeds or (0.0, 0.0, 0.0))
        state[kernel.FOOT_NORTH : kernel.STATE] = 0.0
        return state

    def sail(
        self, state: np.ndarray, air: np.ndarray, seconds: float, dt: float = 0.05, stride: int = 1
    ) -> np.ndarray:
        """Samples of a watch in air given every 0.25 s, or steady as one row; moves ``state``."""
        air = np.array(air, dtype=float).reshape(-1, 2)
        wind = np.repeat(air, 2, axis=0) if len(air) == 1 else air
        rows = np.empty((kernel.SAMPLED, round(seconds / dt / stride) + 1))
        kernel.march(
            self.body, self.setting, self.curve.packed, seabed.uplift_table(), wind, 0.25, state, dt, stride,
            np.empty((5, kernel.STATE)), rows, np.zeros(3),
        )  # fmt: skip
        return rows.T

    def distance(self, state: np.ndarray) -> float:
        """From boat to anchor along the rode seen from above, m."""
        heading = state[kernel.HEADING]
        return float(
            kernel.reach(self.setting, state, self.body.roller, math.cos(heading), math.sin(heading))[4]
        )

    def energy(self, state: np.ndarray) -> float:
        """Kinetic energy with added mass in still water, and the rode's, J."""
        b = self.body
        moving = np.array(
            [
                [b.mass + b.added_surge, 0.0, 0.0],
                [0.0, b.mass + b.added_sway, b.added_sway_yaw],
                [0.0, b.added_sway_yaw, b.yaw_inertia + b.added_yaw],
            ]
        )
        speeds = state[3:6]
        return float(0.5 * speeds @ moving @ speeds) + self.curve.energy(self.distance(state))


def watch(changes: Mapping[str, Any] | None = None, **more: Any) -> Watch:
    """The parts of a scenario: the standard one with an anchor that holds, and some paths changed."""
    scenario = Scenario().vary({**HEAVY, **(changes or {}), **more})
    rode = lay_out(scenario)
    curve = line.curve(
        segments=rode.segments, rise=rode.rise, friction=rode.friction, depth=rode.depth, slope=rode.slope
    )
    return Watch(hull(scenario.boat), setting_of(scenario, rode, SURE), curve)


def on_a_line(parts: Watch, *segments: line.Segment, rise: float = 0.01, friction: float = 0.0) -> Watch:
    """The same boat on a line of other make, all in water."""
    out = sum(segment.length for segment in segments)
    curve = line.curve(segments=segments, rise=rise, friction=friction)
    return replace(parts.around(out=out, lying_length=segments[0].length), curve=curve)


def crossings(time: np.ndarray, values: np.ndarray) -> np.ndarray:
    """When a swinging value goes up through nought, by straight lines between samples."""
    i = np.flatnonzero((values[:-1] < 0.0) & (values[1:] >= 0.0))
    return time[i] - values[i] * (time[i + 1] - time[i]) / (values[i + 1] - values[i])
