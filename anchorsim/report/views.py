"""The boat in one spell on paper: from above with her swinging circle, and the rode from the side."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from anchorsim.core.units import si
from anchorsim.dynamics.run import Run
from anchorsim.figures import Unit, drawn, of_hers
from anchorsim.figures.scenes import rode_at_rest
from anchorsim.report.drawing import LOOK, SMALL, WIDTH, Drawing, drawing, plain, style
from anchorsim.risk.swinging_room import envelope
from anchorsim.wording.amounts import listed

_POINTS = 80
_TALLEST = 7.5  # inches that a picture may take of a page
_THIN = 10  # of the samples of a track, one is drawn
_SKY = 0.55  # of the length overall: how far up the view from the side goes, mast or no mast

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Named:
    """A spell and what it is called on the page."""

    name: str
    run: Run

    @property
    def hardest(self) -> int:
        """The sample with the peak load at the bow."""
        return int(np.argmax(self.run.si.bow_load))


def from_above(spells: Sequence[Named], length: Unit) -> Drawing:
    """North up and to one scale: swinging circle, track of the bow, the boat at peak load.

    One panel a spell, all over the same water.
    """
    east, north = _limits(spells)
    tall = (north[1] - north[0]) / (east[1] - east[0])
    with style():
        height = min(max(WIDTH / len(spells) * tall, 2.0), 4.2) + 0.55
        sheet = Figure(figsize=(WIDTH, height), layout="constrained")
        panels = sheet.subplots(1, len(spells), sharex=True, sharey=True, squeeze=False)[0]
        for panel, watch in zip(panels, spells, strict=True):
            _plan(panel, watch, length.factor)
            panel.set(
                title=watch.name,
                xlabel=f"east of the anchor ({length.label})",
                xlim=[end * length.factor for end in east],
                ylim=[end * length.factor for end in north],
                aspect="equal",
            )
        handles, labels = panels[0].get_legend_handles_labels()
        sheet.legend(handles, labels, loc="outside lower center", ncols=3, fontsize=SMALL, frameon=False)
        panels[0].set_ylabel(f"north of the anchor ({length.label})")
        rooms = [f"{watch.name.lower()} {length.text(_reach(watch.run))}" for watch in spells]
        words = f"Water the boat sweeps in one spell. Farthest point from the anchor: {listed(rooms)}."
        return drawing(sheet, "From above", words)


def from_the_side(spells: Sequence[Named], length: Unit) -> Drawing:
    """The rode to scale between bottom and bow, at rest under the peak load; one panel a spell."""
    far = max(
        float(_distance(watch.run)[watch.hardest]) + si(watch.run.scenario.boat.length) for watch in spells
    )
    deep = -min(watch.run.rode.bed(end) for watch in spells for end in (0.0, far))
    sky = max(_SKY * si(watch.run.scenario.boat.length) for watch in spells)
    across, upright = (-0.05 * far, 1.04 * far), (-1.3 * deep - 0.6, sky)
    tall = (upright[1] - upright[0]) / (across[1] - across[0])
    with style():
        height = min(((WIDTH - 0.6) * tall + 0.3) * len(spells) + 0.35, _TALLEST)
        sheet = Figure(figsize=(WIDTH, height), layout="constrained")
        panels = sheet.subplots(len(spells), 1, sharex=True, squeeze=False)[:, 0]
        for panel, watch in zip(panels, spells, strict=True):
            _profile(panel, watch, length)
            panel.set(
                title=watch.name,
                ylabel=f"above water ({length.label})",
                xlim=[end * length.factor for end in across],
                ylim=[end * length.factor for end in upright],
                aspect="equal",
            )
        panels[-1].set_xlabel(f"distance from the anchor ({length.label})")
        lifts = [f"{watch.name.lower()} {_lift(watch.run):.0f}°" for watch in spells]
        words = f"To scale, at peak load. Uplift at the anchor: {listed(lifts)}."
        return drawing(sheet, "The rode from the side", words)


def _plan(panel: Axes, watch: Named, scale: float) -> None:
    track, at = watch.run.si, watch.hardest
    ring = envelope(watch.run) * scale
    north, east = _bow(watch.run)
    hull = drawn(watch.run.scenario.boat).plan.polygon
    hull_north, hull_east = of_hers(track, hull[:, 0], hull[:, 1], at)
    anchor_east, anchor_north = track.anchor_y[at], track.anchor_x[at]
    panel.set_facecolor(LOOK.water)
    panel.fill(ring[:, 1], ring[:, 0], facecolor=LOOK.room, alpha=0.14, edgecolor="none")
    panel.plot(ring[:, 1], ring[:, 0], color=LOOK.room, linewidth=1.6, label="swinging circle")
    panel.plot(
        east[::_THIN] * scale,
        north[::_THIN] * scale,
        color=LOOK.load,
        alpha=0.6,
        linewidth=0.6,
        label="track of the bow",
    )
    panel.plot(
        np.array([anchor_east, east[at]]) * scale,
        np.array([anchor_north, north[at]]) * scale,
        color=LOOK.ink,
        linewidth=1.2,
    )
    panel.fill(hull_east * scale, hull_north * scale, facecolor=LOOK.hull, edgecolor=LOOK.ink, linewidth=1.0)
    panel.plot(
        0,
        0,
        marker="+",
        markersize=9,
        markeredgewidth=1.5,
        color=LOOK.ink,
        linestyle="none",
        label="where the anchor was set",
    )
    _wind(panel, watch.run)


def _wind(panel: Axes, run: Run) -> None:
    """The mean wind as an arrow in an upper corner, to windward."""
    blows = run.si.wind_direction
    mean = math.atan2(float(np.mean(np.sin(blows))), float(np.mean(np.cos(blows))))
    side = 0.8 if math.sin(mean) > 0 else 0.2
    along = np.array([-math.sin(mean), -math.cos(mean)]) * 12  # points
    place: Any = {"xycoords": "axes fraction", "textcoords": "offset points"}
    arrow = {"arrowstyle": "-|>,head_width=0.35,head_length=0.6", "color": LOOK.ink, "linewidth": 1.6}
    panel.annotate("", (side, 0.84), tuple(-2 * along), arrowprops=arrow, **place)
    panel.annotate(
        "wind", (side, 0.84), tuple(-2.9 * along), ha="center", va="center", fontsize=SMALL, **place
    )


def _profile(panel: Axes, watch: Named, length: Unit) -> None:
    run, at, scale = watch.run, watch.hardest, length.factor
    rode, bow = run.rode, float(_distance(watch.run)[watch.hardest])
    shape = rode_at_rest(run, [bow], _POINTS).si
    plain(panel)
    ends = np.array([-1.0, 3.0]) * bow  # beyond the panel
    bed = np.array([rode.bed(float(end)) for end in ends])
    under = -100.0 * rode.depth
    panel.axhspan(under * scale, 0, color=LOOK.water, linewidth=0)
    panel.axhline(0, color=LOOK.load, linewidth=0.8)
    panel.fill_between(ends * scale, under * scale, bed * scale, color=LOOK.bottom, linewidth=0)
    panel.plot(ends * scale, bed * scale, color=LOOK.ink, linewidth=0.8)
    boat = drawn(run.scenario.boat)
    outline = boat.profile.polygon
    roller = si(run.scenario.boat.roller)
    panel.fill(
        (bow + roller - outline[:, 0]) * scale,
        outline[:, 1] * scale,
        facecolor=LOOK.hull,
        edgecolor=LOOK.ink,
        linewidth=1.0,
    )
    for part in boat.profile.lines:
        panel.plot((bow + roller - part[:, 0]) * scale, part[:, 1] * scale, color=LOOK.ink, linewidth=0.7)
    panel.plot(shape.x[0] * scale, (shape.z[0] - rode.depth) * scale, color=LOOK.ink, linewidth=1.8)
    panel.plot(0, -rode.depth * scale, marker="<", markersize=6, color=LOOK.ink)
    angle = math.degrees(float(run.si.angle_at_anchor[at]))
    for text, x, y, where in (
        (f"uplift at the anchor {angle:.0f}°", 0.0, min(-rode.depth, rode.bed(0.35 * bow)), (8, -4)),
        (
            f"{length.text(float(run.scenario.paid_out))} of rode out",
            float(shape.x[0, _POINTS // 2]),
            float(shape.z[0, _POINTS // 2]) - rode.depth,
            (6, -9),
        ),
    ):
        panel.annotate(
            text, (x * scale, y * scale), where, textcoords="offset points", va="top", fontsize=SMALL
        )


def _limits(spells: Sequence[Named]) -> tuple[tuple[float, float], tuple[float, float]]:
    """East and north limits (m) that hold all rooms and all boats."""
    rings = np.vstack([envelope(watch.run) for watch in spells] + [np.zeros((1, 2))])
    found = []
    for values in (rings[:, 1], rings[:, 0]):
        margin = 0.08 * (values.max() - values.min()) + 2.0
        found.append((float(values.min() - margin), float(values.max() + margin)))
    return found[0], found[1]


def _bow(run: Run) -> tuple[Floats, Floats]:
    """North and east (m) of the bow roller at each sample."""
    return of_hers(run.si, si(run.scenario.boat.roller))


def _distance(run: Run) -> Floats:
    north, east = _bow(run)
    return np.hypot(north - run.si.anchor_x, east - run.si.anchor_y)


def _reach(run: Run) -> float:
    return run.si.swing_radius


def _lift(run: Run) -> float:
    return math.degrees(float(run.si.angle_at_anchor[int(np.argmax(run.si.bow_load))]))
