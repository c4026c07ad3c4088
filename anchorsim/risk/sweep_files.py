"""The file of a sweep: NetCDF or Zarr, which any program that reads these formats opens.

xarray and zarr are asked for when they are needed: they come with ``anchorsim[sweeps]``.
"""

from __future__ import annotations

import contextlib
import io
import time
import zipfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import AbstractContextManager, nullcontext
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from anchorsim.core.arguments import refused
from anchorsim.core.errors import AnchorsimError, sentence
from anchorsim.core.units import quoted
from anchorsim.core.writing import write_whole
from anchorsim.risk.monte_carlo import FIGURES

if TYPE_CHECKING:
    from os import PathLike

    from xarray import Dataset

ODDS = {
    "dragging": "chance that the anchor drags",
    "dragging_low": "lower end of its 95 % band",
    "dragging_high": "upper end of its 95 % band",
}
_SAVED_EVERY = 60.0  # s
_ENDINGS = (".nc", ".zarr.zip")
_FITS = ("a file that save_sweep wrote", "give its path")


class SweepFileError(AnchorsimError):
    """A sweep's file that could not be written or read.

    Attributes
    ----------
    results : xarray.Dataset or None
        Those that could not be written, which are then in memory only.

    Examples
    --------
    >>> try:
    ...     load_sweep("all.csv")
    ... except SweepFileError as error:
    ...     print(error)
    all.csv: unknown kind of file. Expected .nc for NetCDF or .zarr.zip for Zarr. Rename it.
    """

    def __init__(self, sentence: str, results: Dataset | None = None) -> None:
        self.results = results
        super().__init__(sentence)


def save_sweep(results: Dataset, path: str | PathLike[str]) -> None:
    """Save a sweep: whole or not at all.

    Parameters
    ----------
    results : xarray.Dataset
        What :func:`sweep` gave.
    path : str or path
        Ends in ``.nc`` for NetCDF or ``.zarr.zip`` for Zarr in one zip file, which any program that reads
        these formats opens.

    Raises
    ------
    ArgumentError
        Where it is not a dataset.
    SweepFileError
        Where the file cannot be written; what stood there before is then as it was.
    ImportError
        Where xarray or zarr is not installed.

    Examples
    --------
    >>> import tempfile
    >>> from anchorsim import Scenario, sweep
    >>> found = sweep(Scenario().vary({"weather.duration": "60 s"}), {"tackle.scope": [4, 7]}, count=2)
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     save_sweep(found, f"{folder}/scopes.nc")
    ...     load_sweep(f"{folder}/scopes.nc").identical(found)
    True
    """
    if not hasattr(results, "to_netcdf"):
        raise refused("results", f"{quoted(results)} is not a Dataset", "what sweep gave", "give that")
    content = _netcdf(results) if ending_of(path) == ".nc" else _zarr(results)
    try:
        write_whole(Path(path), content)
    except ValueError as error:
        wrong = str(error).partition(". Expected")[0]
        raise SweepFileError(
            sentence(
                f"{wrong}. The results are still in memory, as this error's `results`, and a file that was "
                "there before is whole",
                "a folder with room that you may write to",
                "make room or choose another, and call save_sweep again",
            ),
            results,
        ) from None


def load_sweep(path: str | PathLike[str]) -> Dataset:
    """Read a sweep that :func:`save_sweep` wrote; to go on, give it to :func:`sweep` as ``known``.

    Parameters
    ----------
    path : str or path
        The file.

    Returns
    -------
    xarray.Dataset
        As :func:`sweep` gave it.

    Raises
    ------
    SweepFileError
        Where it is no such file.
    ImportError
        Where xarray or zarr is not installed.

    Examples
    --------
    >>> import tempfile
    >>> from anchorsim import Scenario, sweep
    >>> minute, scopes = Scenario().vary({"weather.duration": "60 s"}), {"tackle.scope": [4, 7]}
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     save_sweep(sweep(minute, scopes, count=2), f"{folder}/scopes.zarr.zip")
    ...     kept = load_sweep(f"{folder}/scopes.zarr.zip")
    >>> sweep(minute, scopes, count=4, known=kept)["finished"].values.tolist()
    [4, 4]
    """
    ending, xarray = ending_of(path), library("xarray")
    try:
        if ending == ".nc":
            results: Dataset = xarray.load_dataset(path, engine="scipy")
        else:
            storage = library("zarr").storage
            zipfile.ZipFile(path).close()  # says in plain words what is wrong, where something is
            with storage.ZipStore(path, mode="r") as store:
                results = xarray.open_zarr(store, consolidated=False, chunks=None).load()
    except ImportError:
        raise
    except Exception as error:  # legion, of the libraries at a file of another kind or half of one
        reason = str(error).split("\n", maxsplit=1)[0] or type(error).__name__
        raise SweepFileError(f"{path}: {sentence(f'could not be read ({reason})', *_FITS)}") from None
    if "scenario" not in results.attrs or not {*FIGURES, *ODDS} <= set(results.variables):
        raise SweepFileError(f"{path}: {sentence('not a sweep', *_FITS)}")
    kinds = {name: np.int64 if found.dtype.kind == "i" else object
             for name, found in results.variables.items() if found.dtype.kind != "f"}  # fmt: skip
    return results.assign({name: results[name].astype(kind, keep_attrs=True) for name, kind in kinds.items()})


def ending_of(path: str | PathLike[str]) -> str:
    for ending in _ENDINGS:
        if Path(path).name.endswith(ending):
            return ending
    raise SweepFileError(
        f"{path}: {sentence('unknown kind of file', '.nc for NetCDF or .zarr.zip for Zarr', 'rename it')}"
    )


def _netcdf(results: Dataset) -> bytes:
    """In the classic format with 64-bit offsets, which SciPy writes: all of ours fits into it."""
    with _here():
        return bytes(results.to_netcdf(engine="scipy", format="NETCDF3_64BIT"))


def _zarr(results: Dataset) -> bytes:
    parts: dict[str, Any] = {}
    with _here():
        results.to_zarr(library("zarr").storage.MemoryStore(parts), consolidated=False)
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for name, part in _sorted(parts):
            archive.writestr(name, part)
    return packed.getvalue()


def _here() -> AbstractContextManager[Any]:
    """Have xarray write in this process, though a cluster that dask knew of is gone."""
    return library("dask").config.set(scheduler="synchronous") if find_spec("dask") else nullcontext()


def _sorted(parts: Mapping[str, Any]) -> Iterator[tuple[str, bytes]]:
    for name in sorted(parts):
        yield name, parts[name].to_bytes()


def library(name: str) -> Any:
    """An optional library.  Raises ImportError with a sentence where it is not installed."""
    try:
        return import_module(name)
    except ImportError:
        raise ImportError(
            f"{name} is not installed. Sweeps need it. Install it with: pip install 'anchorsim[sweeps]'"
        ) from None


class Keeper:
    """Saves results now and then while they come in, where there is a file for them."""

    def __init__(self, file: str | PathLike[str] | None, results: Callable[[], Dataset]) -> None:
        self.file, self.results, self.saved = file, results, time.monotonic()

    def at_the_end(self) -> None:
        if self.file is not None:
            save_sweep(self.results(), self.file)

    def quietly(self) -> None:
        """Where it cannot be saved there is something else to be told, or time to make room until the end."""
        with contextlib.suppress(SweepFileError):
            self.at_the_end()
        self.saved = time.monotonic()

    def now_and_then(self) -> None:
        if self.file is not None and time.monotonic() - self.saved > _SAVED_EVERY:
            self.quietly()
