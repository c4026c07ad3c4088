"""Every published check: ours is as near as it must be, and it would be told if it were not."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from types import MappingProxyType

import pytest

from anchorsim.core import tables
from anchorsim.core.resources import folder
from anchorsim.core.tables import Row, table
from anchorsim.core.units import GRAVITY
from anchorsim.environment import sea_state, turbulence
from anchorsim.mooring.statics import Segment
from anchorsim.scenario import tackle, vessel
from anchorsim.strength import components
from anchorsim.validation import published, recomputed
from anchorsim.validation.published import OBTAINED, Check, checks, read_printed

ALL = checks()


@pytest.mark.parametrize("check", ALL, ids=[check.id for check in ALL])
def test_ours_comes_out_as_published(check: Check) -> None:
    assert check.within, f"{check.what}: printed {check.printed} {check.unit}, ours {check.ours}"


def test_every_check_says_where_it_comes_from_and_how() -> None:
    kinds = {"from memory": "from memory", "practice": "common practice, no source"}
    for check, row in zip(ALL, table("published_checks"), strict=True):
        assert len(check.source) >= 7 and check.what and check.subject
        assert row.kind == kinds.get(check.obtained, "published")
        assert "memory" not in check.source or check.obtained in ("worked", "from memory")


def test_no_tolerance_would_hide_two_per_cent() -> None:
    """But of pins printed to a hundredth of an inch, of rules in round numbers and where a reason is told."""
    loose = {
        re.split(r" \| ", check.id)[0]
        for check in ALL
        if check.tolerance >= 0.0101 * abs(check.value) and check.value
    }
    assert loose == {"shackle", "twelfths", "secant stiffness", "Ishigami index"}


# --- The checks can fail ------------------------------------------------------------------------------------


def failing() -> set[str]:
    return {check.id for check in checks() if not check.within}


def heavier_gravity(monkeypatch: pytest.MonkeyPatch) -> None:
    for module in (sea_state, tackle):
        monkeypatch.setattr(module, "GRAVITY", 1.02 * GRAVITY)


def saltier_water(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tackle, "SEA_WATER", 1.02 * tackle.SEA_WATER)


def stiffer_line(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        recomputed, "Segment", lambda stiffness, **more: Segment(stiffness=1.02 * stiffness, **more)
    )


def stronger_shear(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(components, "_SHEAR", 1.02 * components._SHEAR)


def wilder_air(monkeypatch: pytest.MonkeyPatch) -> None:
    intensity = turbulence.froya_intensity
    monkeypatch.setattr(turbulence, "froya_intensity", lambda hour, height: 1.02 * intensity(hour, height))


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        (heavier_gravity, {"wave growth | JONSWAP | 15 | 2000 | 0 | height", "chain mass | 8 mm"}),
        (saltier_water, {"chain in water | 8 mm"}),
        (
            stiffer_line,
            {"OC3-Hywind line | suspended | distance", "OC3-Hywind line | at rest | length lying"},
        ),
        (stronger_shear, {"bolts in shear | 8 mm | 4"}),
        (wilder_air, {"Frøya intensity | 20 | 10", "Frøya wind | 20 | 10 | 3"}),
    ],
)
def test_two_per_cent_in_the_computation_are_told(
    wrong: Callable[[pytest.MonkeyPatch], None], told: set[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    wrong(monkeypatch)
    assert told <= failing()


@pytest.fixture
def data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A copy of the tables that may be spoilt; what was read of them is forgotten before and after."""
    caches = (tables.table, tables.pick, tables.catalogue, vessel._crossflow)
    shutil.copytree(folder("data"), tmp_path / "data")
    monkeypatch.setattr(tables, "folder", lambda name: tmp_path / name)
    for cache in caches:
        cache.cache_clear()
    yield tmp_path / "data"
    for cache in caches:
        cache.cache_clear()


@pytest.mark.parametrize(
    ("file", "right", "wrong", "told"),
    [
        ("windage", "speed boat,0.9,0.55,", "speed boat,0.9,0.561,", "wind force | 0 | X"),
        ("windage", "speed boat,0.9,0.55,", "speed boat,0.918,0.55,", "wind force | 90 | Y"),
        ("windage", "offshore supply,0.9,0.55,0.8,0.55", "offshore supply,0.9,0.55,0.8,0.561",
         "windage | offshore supply | cross-force"),
        ("crossflow", "1.86,0.657", "1.86,0.670", "cross-flow drag | 1.86"),
        ("uplift", "5,0.75,", "5,0.765,", "holding left | 5"),
        ("swivels", ",1250,", ",1275,", "swivel | 8 mm | break"),
    ],
)  # fmt: skip
def test_two_per_cent_in_a_table_are_told(data: Path, file: str, right: str, wrong: str, told: str) -> None:
    path = data / f"{file}.csv"
    text = path.read_text(encoding="utf-8")
    assert text.count(right) == 1, f"{path.name} no longer says {right!r}"
    path.write_text(text.replace(right, wrong), encoding="utf-8")
    assert told in failing()


# --- How the table is read ----------------------------------------------------------------------------------


def test_a_printed_number_and_half_of_its_last_digit() -> None:
    assert read_printed("1489.30") == (1489.30, 0.005)
    assert read_printed("−1346.4") == read_printed("-1346.4") == (-1346.4, 0.05)
    assert read_printed("736 938") == (736938.0, 0.5)
    assert read_printed(".31") == (0.31, 0.005)
    assert read_printed("5.144 444 E-01") == pytest.approx((0.5144444, 5e-8), rel=1e-12)
    assert read_printed("3/64") == (3 / 64, 0.0)
    value, half = read_printed("306° 52′ 05.37″")
    assert (value, half * 3600) == pytest.approx((306 + 52 / 60 + 5.37 / 3600, 0.005), rel=1e-12)


@pytest.mark.parametrize("text", ["", "about 3", "1.", "1e5", "3/", "--1"])
def test_what_is_no_number_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"^here: needed a number as printed, was given"):
        read_printed(text, "here")


def rows_with(monkeypatch: pytest.MonkeyPatch, **cells: str) -> None:
    """The table with its first row changed."""
    first, *rest = table("published_checks")
    changed = {key: value for key, value in {**first, **cells}.items() if value}
    row = Row(MappingProxyType(changed), first.source, first.kind)
    monkeypatch.setattr(published, "table", lambda name: (row, *rest))


@pytest.mark.parametrize(
    ("cells", "error", "sentence"),
    [
        ({"id": "just lifed | length"}, LookupError, '"just lifed" is not known'),
        ({"id": ALL[1].id}, ValueError, "needed each id once, was given twice"),
        ({"obtained": "heard"}, ValueError, '"heard" is not known. Expected one of read, reprint'),
        ({"printed": "some 300"}, ValueError, "needed a number as printed, was given 'some 300'"),
        ({"tolerance": "0.1"}, ValueError, "needed a tolerance and its reason, or neither"),
        ({"reason": "it is late"}, ValueError, "needed a tolerance and its reason, or neither"),
        ({"printed": "3/64"}, ValueError, "needed a tolerance and its reason, or neither"),
    ],
)
def test_a_row_that_is_wrong_is_refused(
    monkeypatch: pytest.MonkeyPatch, cells: dict[str, str], error: type[Exception], sentence: str
) -> None:
    rows_with(monkeypatch, **cells)
    with pytest.raises(error) as caught:
        checks()
    assert sentence in str(caught.value)


def test_a_function_without_a_row_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    kept = tuple(row for row in table("published_checks") if not str(row["id"]).startswith("wind centre"))
    monkeypatch.setattr(published, "table", lambda name: kept)
    with pytest.raises(LookupError, match=r"was given none of \['wind centre'\]"):
        checks()


def test_every_way_of_obtaining_is_used() -> None:
    assert {check.obtained for check in ALL} == set(OBTAINED)
