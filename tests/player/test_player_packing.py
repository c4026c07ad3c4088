"""The packed run and shapes, read back with ``struct`` alone, as the documented layout says."""

from __future__ import annotations

import dataclasses
import json
import struct

import numpy as np
import pytest
from invented_scene import invented_scene

from anchorsim.explorer.player import Player
from anchorsim.figures import Scene, units_of
from anchorsim.player import state
from anchorsim.player.packing import COLUMNS, pack_run, pack_shapes


@pytest.fixture(scope="module")
def scene() -> Scene:
    return invented_scene()


def test_a_run_reads_back(scene: Scene) -> None:
    packed = pack_run(scene.track)
    magic, samples, columns, start, step = struct.unpack_from("<4sIIff", packed)
    assert (magic, samples, columns, start) == (b"RUN1", 6001, 10, 0.0)
    assert step == pytest.approx(0.1, rel=1e-6)
    rows = struct.iter_unpack(f"<{columns}f", packed[20:])
    table = np.array(list(rows))
    assert table.shape == (samples, columns)
    for k, name in enumerate(COLUMNS):
        np.testing.assert_allclose(table[:, k], getattr(scene.track, name), rtol=1e-6, atol=1e-6)


def test_ten_minutes_stay_under_a_quarter_megabyte(scene: Scene) -> None:
    assert len(pack_run(scene.track)) + len(pack_shapes(scene.rode)) <= 260_000
    assert len(pack_run(scene.track)) <= 250_000


def test_one_sample_in_five_keeps_the_clock(scene: Scene) -> None:
    packed = pack_run(scene.track, every=5)
    _, samples, columns, _, step = struct.unpack_from("<4sIIff", packed)
    assert (samples, step) == (1201, pytest.approx(0.5))
    last = struct.unpack_from(f"<{columns}f", packed, 20 + 4 * columns * (samples - 1))
    assert last[3] == pytest.approx(scene.track.bow_load[-1], rel=1e-6)


def test_shapes_read_back(scene: Scene) -> None:
    packed = pack_shapes(scene.rode)
    magic, rows, points = struct.unpack_from("<4sII", packed)
    assert (magic, rows, points) == (b"SHP1", 48, 40)
    numbers = np.array(struct.unpack_from(f"<{rows + 2 * rows * points}f", packed, 12))
    np.testing.assert_allclose(numbers[:rows], scene.rode.distance, rtol=1e-6)
    np.testing.assert_allclose(
        numbers[rows : rows + rows * points].reshape(rows, points), scene.rode.x, atol=1e-5
    )
    np.testing.assert_allclose(numbers[rows + rows * points :].reshape(rows, points), scene.rode.z, atol=1e-5)
    assert len(packed) == 12 + 4 * numbers.size


def test_uneven_times_are_refused(scene: Scene) -> None:
    time = scene.track.time.copy()
    time[100:] += 0.05
    track = dataclasses.replace(scene.track, time=time)  # type: ignore[type-var]
    with pytest.raises(ValueError, match=r"track\.time: needed two or more evenly spaced times.*resample"):
        pack_run(track)


def test_the_state_is_bytes_and_plain_json(scene: Scene) -> None:
    found = state(scene, [scene], units=units_of("US"))
    plain = {name: value for name, value in found.items() if not isinstance(value, bytes)}
    assert json.loads(json.dumps(plain)) == plain
    assert plain["units"]["force"]["label"] == "lbf"
    first, second = plain["scenes"]
    assert (first["depth"], first["bow"], first["length"]) == (6.0, [6.0, 1.5], 12.0)
    assert (first["letter"], second["letter"], state(scene)["scenes"][0]["letter"]) == ("A", "B", "")
    peak = first["peak_time"]
    assert np.interp(peak, scene.track.time, scene.track.bow_load) == scene.track.bow_load.max()


def test_the_records_of_several_follow_each_other(scene: Scene) -> None:
    other = invented_scene(length=26.0, duration=120.0)
    found = state(scene, [other])
    first, second = pack_run(scene.track), pack_run(other.track)
    assert (found["run"][: len(first)], found["run"][len(first) :]) == (first, second)
    assert found["shapes"] == pack_shapes(scene.rode) + pack_shapes(other.rode)
    assert len(found["scenes"]) == len(found["lanes"]) == 2


def test_show_gives_the_widget_everything_and_a_new_name(scene: Scene) -> None:
    player, other = Player(), Player()
    assert player.scope != other.scope
    player.show(scene)
    first = player.run_id
    assert player.run == pack_run(scene.track)
    assert len(player.scenes) == 1
    player.show(scene, [scene])
    assert player.run == 2 * pack_run(scene.track)
    assert len(player.scenes) == 2
    assert player.run_id != first
