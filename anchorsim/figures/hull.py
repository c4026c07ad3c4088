"""A recognisable boat from her main dimensions: a drawing convention, not a lines plan."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from anchorsim.core.units import si
from anchorsim.figures.scene import Array, Boat, Outline
from anchorsim.scenario.vessel import Boat as Described

_MAST = 1.35  # of the length overall: how high a mast is drawn


def draw_boat(
    *,
    length: float,
    beam: float,
    freeboard: float,
    draught: float,
    mast: float = 0.0,
    bow_height: float | None = None,
) -> Boat:
    """A boat to scale from her dimensions in metres; ``mast`` above the waterline, zero for a motor boat.

    The bow roller sits at the stem, half the length ahead of amidships, ``bow_height`` above the waterline
    (a little over the freeboard where not given).
    """
    stem = 1.15 * freeboard if bow_height is None else bow_height
    return Boat(
        plan=Outline(_deck(length, beam), _deck_lines(length, beam, bool(mast))),
        profile=Outline(
            _side(length, freeboard, stem, draught, bool(mast)),
            _side_lines(length, freeboard, stem, mast),
        ),
        bow_ahead=length / 2,
        bow_height=stem,
    )


def drawn(boat: Described) -> Boat:
    """A boat that is described, to scale."""
    length = si(boat.length)
    outline = draw_boat(
        length=length,
        beam=si(boat.beam),
        freeboard=0.9 * si(boat.bow_height),
        draught=si(boat.draught),
        mast=0.0 if boat.kind == "motor cruiser" else _MAST * length,
        bow_height=si(boat.bow_height),
    )
    return replace(outline, bow_ahead=si(boat.roller))


def _half_beam(along: Array) -> Array:
    """Half beam as a share of the greatest, from stern (0) to stem (1): full aft, fine forward."""
    aft = 1 - 0.28 * np.clip((0.42 - along) / 0.42, 0, None) ** 2
    forward = 1 - np.clip((along - 0.42) / 0.58, 0, None) ** 2.3
    return np.where(along < 0.42, aft, forward)


def _deck(length: float, beam: float) -> Array:
    along = np.linspace(0, 1, 25)
    half = beam / 2 * _half_beam(along)
    ahead = (along - 0.5) * length
    return np.vstack([np.column_stack([ahead, half]), np.column_stack([ahead, -half])[-2::-1]])


def _box(aft: float, fore: float, low: float, high: float) -> Array:
    return np.array([[aft, low], [fore, low], [fore, high], [aft, high], [aft, low]])


def _deck_lines(length: float, beam: float, sail: bool) -> tuple[Array, ...]:
    house = np.array(
        [[-0.12, 0.27], [0.16, 0.22], [0.24, 0.08], [0.24, -0.08], [0.16, -0.22], [-0.12, -0.27]]
    )
    lines = [
        np.vstack([house, house[:1]]) * [length, beam],
        _box(-0.44 * length, -0.14 * length, -0.2 * beam, 0.2 * beam),
    ]
    if sail:
        lines.append(np.array([[0.1 * length, 0.0], [-0.32 * length, 0.0]]))  # the boom
    return tuple(lines)


def _side(length: float, freeboard: float, stem: float, draught: float, sail: bool) -> Array:
    canoe = draught * (0.4 if sail else 0.75)
    sheer = np.linspace(0, 1, 9)
    deck = np.column_stack([(sheer - 0.5) * length, freeboard * (0.95 - 0.12 * np.sin(np.pi * sheer))])
    deck[:, 1] += (stem - 0.95 * freeboard) * sheer**2
    under = [[0.44, 0.0], [0.34, -0.55], [0.15, -0.95]]
    under += [[0.1, -1.0]] if sail else []
    body = np.array([*under, [-0.1, -1.0], [-0.3, -0.6], [-0.45, 0.0]]) * [length, canoe]
    if sail:
        keel = np.array([[0.1 * length, -canoe], [0.05 * length, -draught], [-0.09 * length, -draught]])
        body = np.vstack([body[:3], keel, body[4:]])
    return np.vstack([deck, body])


def _side_lines(length: float, freeboard: float, stem: float, mast: float) -> tuple[Array, ...]:
    top = freeboard + 0.06 * length
    house = np.array([[-0.14, 0.0], [-0.13, 1.0], [0.14, 1.0], [0.26, 0.0]])
    house = np.column_stack([house[:, 0] * length, np.where(house[:, 1] > 0, top, 0.9 * freeboard)])
    if not mast:
        tall = freeboard + 0.16 * length
        return (house, np.array([[-0.1, top], [-0.08, tall], [0.06, tall], [0.12, top]]) * [length, 1.0])
    boom = top + 0.05 * length
    return (
        house,
        np.array([[0.1 * length, 0.9 * freeboard], [0.1 * length, mast]]),
        np.array([[0.1 * length, boom], [-0.32 * length, boom]]),
        np.array([[0.5 * length, stem], [0.1 * length, mast], [-0.5 * length, 0.95 * freeboard]]),
    )
