"""From a run and its assessment to the scene that the views and the player draw."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from anchorsim.core.units import si
from anchorsim.dynamics.anchor_kernel import holding_left
from anchorsim.dynamics.run import Run
from anchorsim.figures import Area, Part, RodeShapes, Scene, drawn
from anchorsim.mooring.statics import Shape
from anchorsim.numerics.interval import Interval, exactly
from anchorsim.risk.assessment import Assessment
from anchorsim.risk.clearances import shape, shelf
from anchorsim.risk.swinging_room import envelope
from anchorsim.scenario import site
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.capacity import PartState, in_line

_SHAPES, _POINTS = 48, 40
_SLACK = 0.5  # N: under no less is a slack rode drawn
_LENGTHS, _MOST_PARTS = ("chain", "rope", "snubber"), 4
_POINT = 1.5  # m, half the width that a point is drawn with
_CONTOUR = 0.5  # of the rode out, to either side: how far the edge of a shelving bottom is drawn


def scene_of(run: Run, scenario: Scenario, found: Assessment | None) -> Scene:
    """Everything to be drawn of a scenario's run, with the spells' ranges, or its own peaks without them."""
    ring = envelope(run)
    holding = _holding(run)
    peak = found.peak_load if found else exactly(run.si.peak_load, "N")
    at_anchor = found.peak_anchor_load if found else exactly(run.si.peak_anchor_load, "N")
    parts = _carrying(found.states if found else in_line(scenario, peak, at_anchor))
    if holding.likely > 0:
        peak = found.holding_used * holding.likely if found else at_anchor
        anchor = Part("Anchor's holding", peak, holding.likely, holding.high, at="anchor", failure="drags")
        parts.insert(0, anchor)
    return Scene(
        name=scenario.title,
        track=run.si,
        boat=drawn(run.scenario.boat),
        depth=run.rode.depth,
        rode=_shapes(run),
        holding=holding,
        parts=tuple(parts),
        room=Area("swinging circle", ring[:, 0], ring[:, 1]),
        dangers=tuple(_around(run.scenario)),
        slope=run.rode.slope,
    )


def _carrying(parts: Sequence[PartState]) -> list[Part]:
    """The lengths of the rode, the weakest link and others that work hard, as found, from the anchor aft.

    What holds the chain behind a snubber is left to the survey: nothing comes on it until the snubber's slack
    is used up.
    """
    line = [part for part in parts if part.as_new.carries != "behind the snubber"]
    weakest = min(line, key=lambda part: part.safety_factor.likely)
    wanted = [part for part in line if part.key in _LENGTHS or part is weakest]
    others = sorted(line, key=lambda part: part.utilisation.likely, reverse=True)
    wanted += [part for part in others if part not in wanted][: _MOST_PARTS - len(wanted)]
    return [
        Part(
            name=part.name,
            peak=part.load,
            wll=part.wll.likely,
            strength_left=part.strength_left.likely,
            at="anchor" if part.as_new.carries == "anchor" else "bow",
            weakest=part is weakest,
        )
        for part in line
        if part in wanted
    ]


def _around(scenario: Scenario) -> Iterator[Area]:
    """Dangers, where the bottom shelves too far for her, and where her neighbours' anchors lie.

    A point is drawn as a small square on its corner.
    """
    around = scenario.surroundings
    for danger in around.dangers:
        corners = shape(scenario, danger).corners[0]
        if danger.shape == "line":
            corners = np.concatenate([corners, corners[::-1]])
        yield _area(danger.name, corners)
    if (shelving := shelf(scenario, far=_CONTOUR * scenario.paid_out)) is not None:
        edge = shelving.corners[0][[0, 3]]
        yield _area("Too shallow past this line at low water", np.concatenate([edge, edge[::-1]]))
    for neighbour in around.neighbours:
        yield _area(f"{neighbour.name}'s anchor", np.array([neighbour.at.local(around.anchor)]))


def _area(name: str, corners: NDArray[np.float64]) -> Area:
    if len(corners) == 1:
        corners = corners + _POINT * np.array([(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)])
    return Area(name, corners[:, 0], corners[:, 1])


def _holding(run: Run) -> Interval:
    """The range of the holding that is left at the greatest lift of the run (N)."""
    anchor, bottom = run.scenario.tackle.anchor, run.scenario.spot.bottom
    left = holding_left(site.uplift_table(), run.si.peak_uplift)
    low, high = site.holding_range(anchor.type, si(anchor.mass), bottom)
    return Interval(low * left, site.ground(anchor.type, si(anchor.mass), bottom).holding * left, high * left)


def rode_at_rest(run: Run, distances: Iterable[float], points: int) -> Shape:
    """The rode as it is drawn from the side: at rest with the bow at some distances (m) from the anchor.

    From slack to taut, those alike in load once.
    """
    loads = np.unique([max(run.curve.si.look_up(float(distance))[0], _SLACK) for distance in distances])
    return run.rode.shapes(loads, points)


def _shapes(run: Run) -> RodeShapes:
    """The rode's shape over the distances that the run came through, and a little beyond."""
    curve, most = run.curve.si, 1.2 * max(run.si.peak_load, 500.0)
    top = float(np.interp(most, curve.horizontal_load, curve.distance))
    wanted = top - (top - curve.distance[0]) * (1 - np.linspace(0, 1, _SHAPES)) ** 2
    found = rode_at_rest(run, wanted, _POINTS).si
    reach = found.x[:, -1]
    rising = np.concatenate([[True], np.diff(np.maximum.accumulate(reach)) > 1e-6])
    return RodeShapes(reach[rising], found.x[rising], found.z[rising])
