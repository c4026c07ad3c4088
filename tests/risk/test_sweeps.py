"""Sweeps: the same spells in every cell, wherever they run; nothing lost by stopping, dying or a full disk.

What a cell must be is known without the sweep: the spells of that variant by themselves.  What files hold is
read with other libraries (scipy's netcdf_file, zarr).
"""

from __future__ import annotations

import itertools
import json
import os
import signal
import subprocess
import sys
import threading
import time
import zipfile
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from pathlib import Path
from typing import Any

import dask
import distributed
import numpy as np
import pytest
import xarray
import zarr
from scipy.io import netcdf_file

import anchorsim as am
from anchorsim.dynamics.anchor_travel import DRAGS_FROM
from anchorsim.numerics.estimates import chance
from anchorsim.risk import monte_carlo, workers
from anchorsim.risk.monte_carlo import FIGURES, spells
from anchorsim.risk.sweep_files import SweepFileError, load_sweep, save_sweep
from anchorsim.risk.sweeps import SweepStoppedError, sweep
from anchorsim.scenario.scenario import Scenario, ScenarioError

SHORT = am.Scenario().vary({"weather.duration": "1 min"})
OVER: dict[str, list[Any]] = {
    "boat.model": ["sloop-12", "motor-cruiser-11"],
    "tackle.scope": [3, 6],
    "weather.mean_wind": ["25 knot", "35 knot", "20 m/s"],
}
COUNT = 6


@pytest.fixture(scope="module")
def whole() -> xarray.Dataset:
    return sweep(SHORT, OVER, COUNT)


def test_each_cell_holds_the_spells_of_its_variant(whole: xarray.Dataset) -> None:
    assert dict(whole.sizes) == {"boat.model": 2, "tackle.scope": 2, "weather.mean_wind": 3, "spell": COUNT}
    for values in itertools.product(*OVER.values()):
        alone = spells(SHORT.vary(dict(zip(OVER, values, strict=True))), COUNT)
        place = {path: OVER[path].index(value) for path, value in zip(OVER, values, strict=True)}
        cell = whole[place]
        for name in FIGURES:
            np.testing.assert_array_equal(cell[name].values, getattr(alone, name))
        assert cell["dragging"] == chance(alone.drag >= DRAGS_FROM).likely
        assert cell["dragging_high"] == chance(alone.drag >= DRAGS_FROM).high
    assert (whole["finished"] == COUNT).all()


def test_values_stand_in_the_declared_units(whole: xarray.Dataset) -> None:
    wind = whole.coords["weather.mean_wind"]
    assert wind.attrs["units"] == "knot"
    # 20 m/s · 3600/1852 (the international nautical mile); held to the 12 digits a file gives a quantity.
    np.testing.assert_allclose(wind.values, [25.0, 35.0, 20 * 3600 / 1852], rtol=1e-12)
    assert whole["peak_load"].attrs["units"] == "N" and whole["radius"].attrs["units"] == "m"
    assert whole.coords["boat.model"].values.tolist() == OVER["boat.model"]
    # She drags the more the harder it blows, and the less the more scope is out: no axis is mistaken.
    dragging = whole["dragging"]
    assert (dragging.diff("weather.mean_wind") >= 0).all() and (dragging.diff("tackle.scope") <= 0).all()
    assert dragging.min() < 0.2 and dragging.max() > 0.8


def test_whole_rodes_can_be_swept_and_what_lies_within_them() -> None:
    rodes = [{"chain": {"length": "60 m"}}, {"chain": {"length": "10 m"}, "rope": {"length": "50 m"}}]
    found = sweep(SHORT, {"tackle.scope": [3, 5], "tackle": rodes}, 2)
    alone = spells(SHORT.vary({"tackle": rodes[1]}).vary({"tackle.scope": 3}), 2)
    cell = found.isel({"tackle": 1, "tackle.scope": 0})
    np.testing.assert_array_equal(cell["peak_load"], alone.peak_load)
    assert json.loads(found.coords["tackle"].values[1])["rope"]["length"] == "50 m"


class Halting(Executor):
    """Threads that take no more work than some tasks, and then fail as an executor of another make might."""

    def __init__(self, tasks: int) -> None:
        self.pool, self.left = ThreadPoolExecutor(2), tasks

    def submit(self, function: Any, /, *args: Any, **kwargs: Any) -> Future[Any]:
        self.left -= 1
        if self.left >= 0:
            future = self.pool.submit(function, *args, **kwargs)
            future.result()
            return future
        failed: Future[Any] = Future()
        failed.set_exception(OSError("connection to the scheduler lost. Details follow"))
        return failed


def test_workers_that_stop_lose_nothing(whole: xarray.Dataset, tmp_path: Path) -> None:
    with pytest.raises(SweepStoppedError) as told:
        sweep(SHORT, OVER, COUNT, executor=Halting(5))
    left = told.value.results
    done = int(left["finished"].sum())
    assert 5 <= done < 12 * COUNT
    assert str(told.value) == (
        f"Stopped after {done} of {12 * COUNT} spells (OSError: connection to the scheduler lost). Finished "
        "spells are kept: pass this error's `results` as `known`, or the same `file`, and run again."
    )
    save_sweep(left, tmp_path / "left.nc")
    ran: list[int] = []
    again = sweep(
        SHORT, OVER, COUNT, known=load_sweep(tmp_path / "left.nc"), progress=lambda n, _: ran.append(n)
    )
    assert again.identical(whole)
    assert ran[0] > done  # what was known was not run again


@pytest.mark.parametrize("ending", [".nc", ".zarr.zip"])
def test_cancelled_saved_and_gone_on_with(ending: str, whole: xarray.Dataset, tmp_path: Path) -> None:
    stop = threading.Event()
    part = sweep(
        SHORT, OVER, COUNT, executor=ThreadPoolExecutor(1), progress=lambda *_: stop.set(), cancel=stop.is_set
    )
    done = int(part["finished"].sum())
    assert 0 < done < 12 * COUNT
    assert int(part["peak_load"].notnull().sum()) == done
    assert (part["dragging"].isnull() == (part["finished"] == 0)).all()
    save_sweep(part, tmp_path / f"part{ending}")
    known = load_sweep(tmp_path / f"part{ending}")
    assert known.identical(part)
    assert sweep(SHORT, OVER, COUNT, known=known).identical(whole)


def test_more_values_and_more_spells_run_only_what_is_new(
    whole: xarray.Dataset, monkeypatch: pytest.MonkeyPatch
) -> None:
    ran: list[int] = []
    run = monte_carlo._run

    def noted(figures: Any, scenario: Scenario, numbers: list[int]) -> Any:
        ran.extend(numbers)
        return run(figures, scenario, numbers)

    monkeypatch.setattr(monte_carlo, "_run", noted)
    more = {**OVER, "weather.mean_wind": ["35 knot", "45 knot", "25 knot"]}
    found = sweep(SHORT, more, COUNT, known=whole)
    assert len(ran) == 4 * COUNT  # the new wind alone
    np.testing.assert_array_equal(
        found["drag"].isel({"weather.mean_wind": [2, 0]}), whole["drag"].isel({"weather.mean_wind": [0, 1]})
    )
    ran.clear()
    sweep(SHORT, OVER, COUNT, first=2, known=whole)
    assert sorted(ran) == sorted(12 * [6, 7])


@pytest.mark.parametrize("ending", [".nc", ".zarr.zip"])
def test_a_sweep_is_saved_though_the_cluster_is_gone(
    whole: xarray.Dataset, tmp_path: Path, ending: str
) -> None:
    with dask.config.set(scheduler="dask.distributed"):  # as a cluster leaves it that has died
        save_sweep(whole, tmp_path / f"all{ending}")
        assert load_sweep(tmp_path / f"all{ending}").identical(whole)


KILLED = """
import os, signal, sys
from anchorsim import Scenario
from anchorsim.risk import sweep_files, sweeps
sweep_files._SAVED_EVERY = 0.0
signal.signal(signal.SIGINT, signal.default_int_handler)  # which a starter may have had all beneath it ignore
def stop(done, asked):
    if done > 20:
        os.kill(os.getpid(), getattr(signal, sys.argv[2]))
sweeps.sweep(Scenario.load(sys.argv[1]), eval(sys.argv[3]), 6, file=sys.argv[4], progress=stop)
"""


@pytest.mark.parametrize("by", ["SIGKILL", "SIGINT"])
def test_the_file_keeps_what_was_done_when_the_whole_program_is_killed_or_interrupted(
    by: str, whole: xarray.Dataset, tmp_path: Path
) -> None:
    SHORT.save(tmp_path / "scenario.toml")
    file = tmp_path / "all.nc"
    command = [sys.executable, "-c", KILLED, str(tmp_path / "scenario.toml"), by, repr(OVER), str(file)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == (-signal.SIGKILL if by == "SIGKILL" else -signal.SIGINT), done.stderr
    held = int(load_sweep(file)["finished"].sum())
    assert 20 < held < 12 * COUNT
    ran: list[int] = []
    again = sweep(SHORT, OVER, COUNT, file=file, progress=lambda n, _: ran.append(n))
    assert again.identical(whole) and load_sweep(file).identical(whole)
    assert ran[0] > held


def test_a_file_that_cannot_be_written_at_the_end_leaves_the_results_in_hand(
    whole: xarray.Dataset, tmp_path: Path
) -> None:
    with pytest.raises(SweepFileError, match=r"could not be written .* still in memory") as told:
        sweep(SHORT, OVER, COUNT, file=tmp_path / "none" / "all.nc")
    assert told.value.results is not None and told.value.results.identical(whole)


def test_files_are_read_by_other_libraries(whole: xarray.Dataset, tmp_path: Path) -> None:
    save_sweep(whole, tmp_path / "all.nc")
    save_sweep(whole, tmp_path / "all.zarr.zip")
    with netcdf_file(tmp_path / "all.nc", mmap=False) as file:
        np.testing.assert_array_equal(file.variables["peak_load"][:], whole["peak_load"].values)
        assert file.variables["peak_load"].units == b"N"
    with zarr.storage.ZipStore(tmp_path / "all.zarr.zip", mode="r") as store:
        np.testing.assert_array_equal(zarr.open_group(store, mode="r")["radius"][:], whole["radius"].values)
    (tmp_path / "scenario.toml").write_text(whole.attrs["scenario"])
    assert Scenario.load(tmp_path / "scenario.toml") == SHORT


FULL = """
import resource, sys
from anchorsim.risk.sweep_files import SweepFileError, load_sweep, save_sweep
results = [load_sweep(path) for path in sys.argv[1:]]
resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))
for path, held in zip(sys.argv[1:], results):
    try:
        save_sweep(held.assign(drag=held["drag"] + 1.0), path)
    except SweepFileError as error:
        print(error)
"""


def test_a_disk_that_takes_no_more_leaves_the_old_file_whole(whole: xarray.Dataset, tmp_path: Path) -> None:
    # The kernel itself refuses to write on after 1000 bytes, as it does where a disk is full.
    paths = [tmp_path / "all.nc", tmp_path / "all.zarr.zip"]
    for path in paths:
        save_sweep(whole, path)
    before = [path.read_bytes() for path in paths]
    command = [sys.executable, "-c", FULL, *map(str, paths)]
    told = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    assert told.splitlines() == [
        f"{path}: could not be written (file too large). The results are still in memory, as this error's "
        "`results`, and a file that was there before is whole. Expected a folder with room that you may "
        "write to. Make room or choose another, and call save_sweep again."
        for path in paths
    ]
    assert [path.read_bytes() for path in paths] == before
    assert sorted(os.listdir(tmp_path)) == [path.name for path in paths]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="has no device that is always full")
def test_a_full_device_is_told(
    whole: xarray.Dataset, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = Path.open

    def full(self: Path, mode: str) -> Any:
        if mode == "xb":
            self.touch()
        return real(Path("/dev/full"), "wb") if mode == "xb" else real(self, mode)

    monkeypatch.setattr(Path, "open", full)
    with pytest.raises(SweepFileError, match=r"could not be written \(no space left on device\)"):
        save_sweep(whole, tmp_path / "all.nc")


def test_files_that_are_none_are_refused(whole: xarray.Dataset, tmp_path: Path) -> None:
    save_sweep(whole, tmp_path / "all.nc")
    (tmp_path / "half.nc").write_bytes((tmp_path / "all.nc").read_bytes()[:2000])
    (tmp_path / "text.nc").write_text("wind, load\n")
    (tmp_path / "text.zarr.zip").write_text("wind, load\n")
    with zipfile.ZipFile(tmp_path / "other.zarr.zip", "w") as file:
        file.writestr("readme", "nothing")
    for name in ("half.nc", "text.nc", "text.zarr.zip", "other.zarr.zip", "gone.nc"):
        with pytest.raises(
            SweepFileError, match=rf"{name}: could not be read \(.+\)\. Expected a file that save"
        ):
            load_sweep(tmp_path / name)
    xarray.Dataset({"wind": ("time", [1.0])}).to_netcdf(tmp_path / "wind.nc", engine="scipy")
    with pytest.raises(SweepFileError, match=r"wind\.nc: not a sweep"):
        load_sweep(tmp_path / "wind.nc")
    for go in (load_sweep, lambda path: save_sweep(whole, path)):
        with pytest.raises(SweepFileError, match=r"all\.csv: unknown kind of file\. Expected \.nc"):
            go("all.csv")


def test_what_cannot_be_swept_is_refused(whole: xarray.Dataset) -> None:
    with pytest.raises(ValueError, match=r"^over: no paths\. Expected one or more"):
        sweep(SHORT, {})
    for values in ("25 knot", []):
        with pytest.raises(
            ValueError, match=r"over\['weather\.mean_wind'\]: .* is not a list of values\. Expected"
        ):
            sweep(SHORT, {"weather.mean_wind": values})
    with pytest.raises(ValueError, match=r"over\['weather\.mean_wind'\]: a value appears twice"):
        sweep(SHORT, {"weather.mean_wind": ["25 knot", "25.0 knot"]})
    with pytest.raises(ScenarioError, match=r"tackle\.scoop: unknown path.*\(with tackle\.scoop = 3\)"):
        sweep(SHORT, {"tackle.scoop": [3]})
    with pytest.raises(
        ScenarioError, match=r"(?s)spot\.depth .*: too shallow.*\(with .*spot\.depth = \"1 m\"\)"
    ):
        sweep(SHORT, {"boat.model": ["sloop-12"], "spot.depth": ["6 m", "1 m"]})
    for scenario, over in ((am.Scenario(), OVER), (SHORT, {"tackle.scope": [3]})):
        with pytest.raises(
            ValueError, match=r"^known: from another sweep\. Expected this scenario's, over the same"
        ):
            sweep(scenario, over, known=whole)


def test_a_killed_worker_of_a_dask_cluster_loses_nothing(
    whole: xarray.Dataset, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("DASK_TEMPORARY_DIRECTORY", str(tmp_path))
    cluster = distributed.LocalCluster(
        n_workers=2,
        threads_per_worker=1,
        processes=True,
        dashboard_address=None,
        local_directory=str(tmp_path),
    )
    with cluster, distributed.Client(cluster) as client:
        pids = client.run(os.getpid)
        assert len(set(pids.values())) == 2
        seen: list[int] = []

        def kill_one(done: int, _: int) -> None:
            if not seen:
                os.kill(min(pids.values()), signal.SIGKILL)
            seen.append(done)

        found = sweep(SHORT, OVER, COUNT, executor=client.get_executor(), progress=kill_one)
        assert 0 < seen[0] < 12 * COUNT and seen[-1] == 12 * COUNT
        deadline = time.monotonic() + 5.0
        while min(pids.values()) in client.run(os.getpid).values() and time.monotonic() < deadline:
            time.sleep(0.1)
        assert min(pids.values()) not in client.run(os.getpid).values(), "one was killed"
    assert found.identical(whole)


def test_a_closed_dask_cluster_keeps_what_is_done(whole: xarray.Dataset) -> None:
    with (
        distributed.LocalCluster(
            n_workers=1, threads_per_worker=1, processes=False, dashboard_address=None
        ) as cluster,
        distributed.Client(cluster) as client,
    ):
        executor = client.get_executor()
        with pytest.raises(SweepStoppedError, match=r"^Stopped after \d+ of 72 spells") as told:
            sweep(SHORT, OVER, COUNT, executor=executor, progress=lambda *_: client.close())
    assert int(told.value.results["finished"].sum()) > 0
    assert sweep(SHORT, OVER, COUNT, known=told.value.results).identical(whole)


def test_a_dask_cluster_that_lost_all_its_workers_says_so_and_keeps_what_is_done(
    whole: xarray.Dataset, monkeypatch: pytest.MonkeyPatch
) -> None:
    distributed = pytest.importorskip("distributed")
    assert workers._BETWEEN + workers._ANSWER + workers._PATIENCE < 30.0, "s, within which it is to be said"
    monkeypatch.setattr(workers, "_PATIENCE", 0.5)
    monkeypatch.setattr(workers, "_BETWEEN", 0.1)
    made = {"n_workers": 1, "threads_per_worker": 1, "processes": False, "dashboard_address": None}
    said = r"^Stopped after \d+ of 72 spells \(the cluster has had no workers for \d+ s\)"
    with distributed.LocalCluster(**made) as cluster, distributed.Client(cluster) as client:
        executor = client.get_executor()
        with pytest.raises(SweepStoppedError, match=said) as told:
            sweep(SHORT, OVER, COUNT, executor=executor, progress=lambda *_: cluster.scale(0))
    assert 0 < int(told.value.results["finished"].sum()) < 12 * COUNT
    assert sweep(SHORT, OVER, COUNT, known=told.value.results).identical(whole)
