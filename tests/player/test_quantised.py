"""Quantised runs and shapes, read back with ``struct`` and plain loops, as the documented layout says."""

from __future__ import annotations

import struct

import numpy as np
import pytest
from invented_scene import invented_scene
from numpy.typing import NDArray

from anchorsim.player.packing import COLUMNS
from anchorsim.player.quantised import QUANTA, pack_run, pack_shapes

SCENE = invented_scene()


def column(packed: bytes, at: int, count: int) -> tuple[NDArray[np.float64], float, int]:
    """A column's values, its quantum, and where the next one begins."""
    low, quantum = struct.unpack_from("<dd", packed, at)
    step = value = 0
    found = []
    for k in range(count):
        folded = packed[at + 16 + k] | packed[at + 16 + count + k] << 8
        step = (step + (folded // 2 if folded % 2 == 0 else -(folded + 1) // 2)) % 65536
        value = (value + step) % 65536
        found.append(low + quantum * value)
    return np.array(found), quantum, at + 16 + 2 * count


def columns(packed: bytes) -> tuple[dict[str, NDArray[np.float64]], float]:
    """The columns of a packed run by name, and its step."""
    magic, samples, count, _, step = struct.unpack_from("<4sIIff", packed)
    assert (magic, count) == (b"RUN2", len(COLUMNS))
    found, at = {}, 20
    for name in COLUMNS:
        found[name], _, at = column(packed, at, samples)
    assert at == len(packed)
    return found, step


def test_every_value_comes_back_to_half_its_quantum() -> None:
    found, step = columns(pack_run(SCENE.track))
    assert step == pytest.approx(SCENE.track.time[1] - SCENE.track.time[0], rel=1e-6)
    for name, values in found.items():
        given = getattr(SCENE.track, name)
        quantum = max(QUANTA[name], float(np.ptp(given)) / 65535)
        off = values - given
        if name in ("heading", "wind_direction"):
            off = np.angle(np.exp(1j * off))  # a turn more is the same
        assert np.abs(off).max() <= quantum / 2 * (1 + 1e-9), name


def test_one_sample_in_so_many_is_kept() -> None:
    found, step = columns(pack_run(SCENE.track, every=5))
    assert found["x"] == pytest.approx(SCENE.track.x[::5], abs=QUANTA["x"])
    assert step == pytest.approx(5 * (SCENE.track.time[1] - SCENE.track.time[0]), rel=1e-6)


def test_shapes_come_back_to_a_centimetre() -> None:
    packed, rode = pack_shapes(SCENE.rode), SCENE.rode
    magic, rows, points = struct.unpack_from("<4sII", packed)
    assert (magic, rows, points) == (b"SHP2", *rode.x.shape)
    at = 12
    for part in (rode.distance, rode.x, rode.z):
        values, quantum, at = column(packed, at, part.size)
        assert quantum <= 0.01
        assert np.abs(values - part.ravel()).max() <= 0.005 * (1 + 1e-9)
    assert at == len(packed)
