"""An invented scene for the tests of the pictures.

The rode is a plain catenary in closed form, so that loads, distances, lift and shapes belong together.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq
from scipy.spatial import ConvexHull

from anchorsim.figures import Area, Boat, Part, RodeShapes, Scene, draw_boat
from anchorsim.numerics.interval import Interval

Array = NDArray[np.float64]
WEIGHT = 13.5  # N/m in water, an invented chain
DEPTH = 6.0


@dataclass(frozen=True)
class InventedTrack:
    time: Array
    x: Array
    y: Array
    heading: Array
    bow_load: Array
    anchor_load: Array
    angle_at_anchor: Array
    wind_speed: Array
    wind_direction: Array
    anchor_x: Array
    anchor_y: Array


def lift_force(pull: float, length: float, rise: float) -> float:
    """Vertical force at the anchor under a horizontal pull; zero while some rode lies on the bottom."""
    if math.sqrt(rise**2 + 2 * rise * pull / WEIGHT) <= length:
        return 0.0

    def too_high(vertical: float) -> float:
        ends = math.hypot(pull, vertical + WEIGHT * length), math.hypot(pull, vertical)
        return (ends[0] - ends[1]) / WEIGHT - rise

    return float(brentq(too_high, 0.0, pull * rise / length))


def catenary(pull: float, length: float, rise: float, points: int = 40) -> tuple[Array, Array, float]:
    """Points (x, z) from the anchor to the bow, and the lift (rad) at the anchor."""
    vertical = lift_force(pull, length, rise)
    lying = length - math.sqrt(rise**2 + 2 * rise * pull / WEIGHT) if vertical == 0 else 0.0
    along = np.linspace(0, length, points)
    force = vertical + WEIGHT * np.clip(along - lying, 0, None)
    x = np.minimum(along, lying) + pull / WEIGHT * (np.arcsinh(force / pull) - math.asinh(vertical / pull))
    z = (np.hypot(pull, force) - math.hypot(pull, vertical)) / WEIGHT
    return x, z, math.atan2(vertical, pull)


def outline_sweep(track: InventedTrack, boat: Boat) -> Area:
    ahead, starboard = boat.plan.polygon.T
    cos, sin = np.cos(track.heading[::10, None]), np.sin(track.heading[::10, None])
    north = track.x[::10, None] + cos * ahead - sin * starboard
    east = track.y[::10, None] + sin * ahead + cos * starboard
    points = np.column_stack([north.ravel(), east.ravel()])
    ring = points[ConvexHull(points).vertices]
    return Area("swinging circle", ring[:, 0], ring[:, 1])


def invented_scene(*, length: float = 38.0, name: str = "as found", duration: float = 600.0) -> Scene:
    """A twelve-metre sloop tacking about her anchor in a south-westerly, with gusts."""
    boat = draw_boat(length=12.0, beam=3.9, freeboard=1.2, draught=1.9, mast=16.5, bow_height=1.5)
    rise = DEPTH + boat.bow_height
    pulls = np.geomspace(20.0, 9000.0, 48)
    shapes = [catenary(pull, length, rise) for pull in pulls]
    rode = RodeShapes(
        np.array([x[-1] for x, _, _ in shapes]),
        np.vstack([x for x, _, _ in shapes]),
        np.vstack([z for _, z, _ in shapes]),
    )
    time = np.arange(0.0, duration + 0.05, 0.1)
    sheer = np.sin(2 * np.pi * time / 83)
    gust = 0.5 + 0.28 * np.sin(2 * np.pi * time / 137 + 1) + 0.22 * np.sin(2 * np.pi * time / 41) * sheer
    pull = 250 + 4600 * np.clip(gust, 0, None) ** 2.2 * (0.55 + 0.45 * np.cos(4 * np.pi * time / 83))
    distance = np.interp(np.log(pull), np.log(pulls), rode.distance)
    uplift = np.interp(np.log(pull), np.log(pulls), [angle for _, _, angle in shapes])
    wind_from = math.radians(225) + 0.12 * np.sin(2 * np.pi * time / 60)
    bearing = math.radians(45) + 0.42 * sheer
    heading = math.radians(225) + 0.42 * sheer + 0.6 * np.cos(2 * np.pi * time / 83)
    bow_x, bow_y = distance * np.cos(bearing), distance * np.sin(bearing)
    ahead = boat.bow_ahead
    track = InventedTrack(
        time=time,
        x=bow_x - ahead * np.cos(heading),
        y=bow_y - ahead * np.sin(heading),
        heading=heading,
        bow_load=pull + WEIGHT * rise,
        anchor_load=pull,
        angle_at_anchor=uplift,
        wind_speed=8 + 12 * np.clip(gust, 0, None),
        wind_direction=wind_from,
        anchor_x=np.zeros_like(time),
        anchor_y=np.zeros_like(time),
    )
    peak = float(track.bow_load.max())
    return Scene(
        name=name,
        track=track,
        boat=boat,
        depth=DEPTH,
        rode=rode,
        holding=Interval(3800.0, 5200.0, 7100.0),
        parts=invented_parts(peak),
        room=outline_sweep(track, boat),
        dangers=(
            Area("rock, dries 0.4 m", np.array([8.0, 14.0, 17.0, 10.0]), np.array([58.0, 55.0, 62.0, 66.0])),
        ),
    )


def invented_parts(peak: float) -> tuple[Part, ...]:
    def part(name: str, wll: float, strength_left: float, share: float = 1.0, **more: object) -> Part:
        span = Interval(0.8 * peak * share, peak * share, 1.35 * peak * share)
        return Part(name, span, wll, strength_left, share=share, **more)  # type: ignore[arg-type]

    return (
        part("anchor shank", 8_000.0, 24_000.0, at="anchor"),
        part("anchor shackle", 9_800.0, 58_800.0, at="anchor"),
        part("chain, 8 mm grade 40", 8_000.0, 32_000.0),
        part("joining link", 3_100.0, 9_300.0, weakest=True),
        part("snubber, 14 mm nylon", 5_600.0, 32_000.0),
        part("chain hook", 7_500.0, 30_000.0),
        part("bow cleat, port", 9_000.0, 22_000.0),
    )
