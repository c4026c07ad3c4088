"""Spells over boats, rodes, winds or whatever else: every combination of some values at some paths.

The results are an xarray Dataset with a dimension for each path, which is also how they are kept in a file.
xarray and zarr are asked for when they are needed: they come with ``anchorsim[sweeps]``.
"""

from __future__ import annotations

import itertools
import json
from collections.abc import Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import tomli_w
from numpy.typing import NDArray

from anchorsim.core import arguments
from anchorsim.core.model import Thing
from anchorsim.core.units import Measure, quantity, quoted
from anchorsim.dynamics.anchor_travel import DRAGS_FROM
from anchorsim.numerics.estimates import chance
from anchorsim.risk.monte_carlo import (
    FIGURES,
    Cancel,
    Floats,
    Ints,
    Progress,
    fill,
    numbers_from,
    single_figures_of,
)
from anchorsim.risk.sweep_files import ODDS, Keeper, ending_of, library, load_sweep
from anchorsim.scenario.scenario import Scenario, ScenarioError

if TYPE_CHECKING:
    from os import PathLike

    from xarray import Dataset

_MEANS = {
    "peak_load": ("N", "peak load at the bow"),
    "peak_anchor_load": ("N", "peak load at the anchor"),
    "uplift": ("rad", "greatest uplift at the anchor"),
    "radius": ("m", "farthest that any part of the boat came from where the anchor was set"),
    "drag": ("m", "how far the anchor ended from where it was set"),
    "water": ("m", "least depth of water under any part of her"),
    "holding": ("N", "holding as drawn"),
    "windage": ("1", "factor on her windage as drawn"),
    "holding_used": ("1", "greatest share of its holding that the anchor was asked for"),
}
_SPELL = "spell"
_QUANTITY: Any = type(quantity(1.0, "m"))


class SweepStoppedError(RuntimeError):
    """Workers stopped in a sweep; what was finished is kept.

    Attributes
    ----------
    results : xarray.Dataset
        Of all spells that were finished before.

    Examples
    --------
    >>> from concurrent.futures import ThreadPoolExecutor
    >>> closed = ThreadPoolExecutor()
    >>> closed.shutdown()
    >>> try:
    ...     sweep(Scenario(), {"tackle.scope": [4, 6]}, count=2, executor=closed)
    ... except SweepStoppedError as error:
    ...     print(int(error.results["finished"].sum()))
    0
    """

    def __init__(self, results: Dataset, reason: str) -> None:
        self.results = results
        done, asked = int(results["finished"].sum()), results["peak_load"].size
        super().__init__(
            f"Stopped after {done} of {asked} spells ({reason}). Finished spells are kept: pass this error's "
            "`results` as `known`, or the same `file`, and run again."
        )


@dataclass(frozen=True)
class _Axis:
    """A path and its values, with their labels along the dimension."""

    path: str
    values: tuple[Any, ...]
    labels: NDArray[Any]
    attrs: Mapping[str, str]


def sweep(
    scenario: Scenario,
    over: Mapping[str, Sequence[Any]],
    count: int = 200,
    *,
    first: int = 0,
    known: Dataset | None = None,
    file: str | PathLike[str] | None = None,
    executor: Executor | None = None,
    progress: Progress | None = None,
    cancel: Cancel | None = None,
) -> Dataset:
    """Run the same spells for every combination of values at some paths.

    Parameters
    ----------
    scenario : Scenario
        Boat, gear, anchorage and weather, with its survey and surroundings.
    over : mapping of str to sequence
        Paths into the scenario, each with the values it takes, as :meth:`Scenario.vary` takes them:
        ``{"boat.model": ["sloop-12", "ketch-13"], "weather.mean_wind": ["25 knot"]}``.  Whole things may be
        among them, such as a rode: ``{"tackle": [{"chain": {"length": "30 m"}}, …]}``.
    count : int
        How many spells of each combination.
    first : int
        Number of the first spell, 0 or more.  A spell has the same gusts, holding and windage wherever its
        number is run.
    known : xarray.Dataset, optional
        Results of the same scenario over the same paths (other values may be among them): their spells are
        not run again.
    file : str or path, optional
        Where the results are saved as :func:`save_sweep` does, once a minute and however it ends; what it
        holds at the start is known.
    executor : concurrent.futures.Executor, optional
        Any, in place of threads on this machine; the result is the same to the last bit.
    progress : callable, optional
        Called now and then with how many spells are done and how many there are.
    cancel : callable, optional
        Asked several times a second whether to stop.

    Returns
    -------
    xarray.Dataset
        With a dimension for each path, in its declared unit, and ``spell``: the figures of each spell, NaN
        where it was not run, for it was cancelled; ``finished``, how many were; and the chance of dragging
        with its 95 % band.  Units are in the attributes.

    Raises
    ------
    ArgumentError
        Where paths, values or known results do not go together.
    ScenarioError
        For a combination that does not fit together, with its values.
    SweepStoppedError
        Where workers stop; it holds the results of the spells that were finished.
    SweepFileError
        Where the file cannot be read or written.
    ImportError
        Where xarray is not installed.

    Notes
    -----
    On a Dask cluster the executor is ``client.get_executor()``, and a worker that dies is made good by the
    others.

    Examples
    --------
    >>> minute = Scenario().vary({"weather.duration": "60 s"})
    >>> found = sweep(minute, {"tackle.scope": [4, 7]}, count=4)
    >>> found["peak_load"].dims, found["peak_load"].units, found["finished"].values.tolist()
    (('tackle.scope', 'spell'), 'N', [4, 4])
    """
    arguments.instance("scenario", scenario, Scenario, "load one with Scenario.load")
    arguments.mapping("over", over, '{"tackle.scope": [4, 7]}')
    numbers = numbers_from(first, count)
    variants = _variants(scenario, over)
    axes = _axes(over, variants)
    table = np.full((len(variants), len(numbers), len(FIGURES)), np.nan)
    if file is not None:
        ending_of(file)
    for some in (known, load_sweep(file) if file is not None and Path(file).exists() else None):
        if some is not None:
            _pick_up(table, scenario, axes, numbers, some)

    def results() -> Dataset:
        return _dataset(scenario, axes, numbers, table)

    keep = Keeper(file, results)

    def noted(done: int, asked: int) -> None:
        keep.now_and_then()
        if progress:
            progress(done, asked)

    try:
        reason = fill(
            single_figures_of, variants, numbers, table, executor=executor, progress=noted, cancel=cancel
        )
    except BaseException:  # Ctrl-C above all
        keep.quietly()
        raise
    if reason is not None:
        keep.quietly()
        raise SweepStoppedError(results(), reason)
    keep.at_the_end()
    return results()


def _variants(scenario: Scenario, over: Mapping[str, Sequence[Any]]) -> list[Scenario]:
    """The scenario of each combination, the last path's values changing fastest."""
    if not over:
        raise arguments.refused("over", "no paths", "one or more, each with its values", "give one")
    for path, values in over.items():
        if isinstance(values, str | Mapping | Thing | _QUANTITY) or not len(values):
            wrong = f"{quoted(values)} is not a list of values"
            raise arguments.refused(f"over[{path!r}]", wrong, "one value or more", "write them in brackets")
    outer_first = sorted(over, key=lambda path: path.count("."))  # or a thing would undo what lies within it
    variants = []
    for values in itertools.product(*over.values()):
        changes = dict(zip(over, values, strict=True))
        try:
            variants.append(scenario.vary({path: changes[path] for path in outer_first}))
        except ScenarioError as error:
            told_of = ", ".join(f"{path} = {quoted(value)}" for path, value in changes.items())
            raise ScenarioError(
                [(path, f"{sentence} (with {told_of})") for path, sentence in error.problems]
            ) from None
    return variants


def _axes(over: Mapping[str, Sequence[Any]], variants: Sequence[Scenario]) -> list[_Axis]:
    axes, stride = [], len(variants)
    for path, values in over.items():
        stride //= len(values)
        held = [variants[i * stride].get(path) for i in range(len(values))]
        labels, attrs = _labels(path, held)
        if len(set(labels.tolist())) < len(values):
            raise arguments.refused(f"over[{path!r}]", "a value appears twice", "each once", "delete one")
        axes.append(_Axis(path, tuple(values), labels, attrs))
    return axes


def _labels(path: str, held: Sequence[Any]) -> tuple[NDArray[Any], dict[str, str]]:
    """What stands along a dimension: numbers in the declared unit, or names, or things as JSON."""
    if all(isinstance(value, _QUANTITY) for value in held):
        measure = Scenario.declaration(path)
        assert isinstance(measure, Measure)
        numbers = [float(value.m_as(measure.unit)) for value in held]
        return np.array(numbers), {"units": measure.unit, "long_name": measure.label}
    if all(isinstance(value, int | float) and not isinstance(value, bool) for value in held):
        return np.array(held, dtype=np.float64), {"units": "1"}
    return np.array([_text(value) for value in held], dtype=object), {}


def _text(value: Any) -> str:
    if isinstance(value, Thing):
        return json.dumps(value.model_dump(mode="json", exclude_none=True))
    return "" if value is None else str(value)


def _document(scenario: Scenario) -> str:
    return tomli_w.dumps(scenario.document())


def _pick_up(table: Floats, scenario: Scenario, axes: Sequence[_Axis], numbers: Ints, known: Dataset) -> None:
    """Put what is known already into the table of figures, (variants, spells, figures)."""
    paths = [axis.path for axis in axes]
    if getattr(known, "attrs", {}).get("scenario") != _document(scenario) or set(known.dims) != {
        *paths,
        _SPELL,
    }:
        expected = f"this scenario's, over the same paths ({', '.join(paths)})"
        raise arguments.refused("known", "from another sweep", expected, "omit it, or give another file")
    places = [
        {label: place for place, label in enumerate(known.coords[axis.path].values.tolist())} for axis in axes
    ]
    held = np.stack([known[name].transpose(*paths, _SPELL).values for name in FIGURES], axis=-1)
    _, here, there = np.intersect1d(numbers, known.coords[_SPELL].values, return_indices=True)
    for rows, labels in zip(table, itertools.product(*(axis.labels.tolist() for axis in axes)), strict=True):
        if all(label in place for place, label in zip(places, labels, strict=True)):
            found = held[tuple(place[label] for place, label in zip(places, labels, strict=True))][there]
            rows[here] = np.where(np.isnan(found), rows[here], found)


def _dataset(scenario: Scenario, axes: Sequence[_Axis], numbers: Ints, table: Floats) -> Dataset:
    xarray = library("xarray")
    drag = table[:, :, FIGURES.index("drag")]
    finished = (~np.isnan(drag)).sum(axis=1)
    odds = np.full((len(ODDS), len(table)), np.nan)
    for which in np.flatnonzero(finished):
        dragging = chance(drag[which][~np.isnan(drag[which])] >= DRAGS_FROM)
        odds[:, which] = dragging.likely, dragging.low, dragging.high
    paths, shape = [axis.path for axis in axes], [len(axis.values) for axis in axes]
    variables: dict[str, Any] = {}
    for name, rows in zip(FIGURES, np.moveaxis(table, -1, 0), strict=True):
        units, means = _MEANS[name]
        attrs = {"units": units, "long_name": means}
        variables[name] = ([*paths, _SPELL], rows.reshape(*shape, len(numbers)), attrs)
    for (name, means), row in zip(ODDS.items(), odds, strict=True):
        variables[name] = (paths, row.reshape(shape), {"units": "1", "long_name": means})
    attrs = {"units": "1", "long_name": "spells simulated"}
    variables["finished"] = (paths, finished.reshape(shape), attrs)
    coords: dict[str, Any] = {axis.path: ([axis.path], axis.labels, dict(axis.attrs)) for axis in axes}
    coords[_SPELL] = ([_SPELL], numbers, {"long_name": "number of the spell"})
    made: Dataset = xarray.Dataset(variables, coords, {"scenario": _document(scenario)})
    return made.copy(deep=True)
