"""The one unit registry: what people write is read, and what is written is read back."""

from __future__ import annotations

import ast
import math
import os
import pickle
import subprocess
import sys
from pathlib import Path

import numpy as np
import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import anchorsim
from anchorsim.core import units
from anchorsim.core.units import parse, quantity, quoted, show, si, unit_name, us_unit, write

# --- Into SI ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "value", "half"),
    [
        ("1 tonne", 1000.0, 0.0),  # BIPM SI Brochure (2019), table 8
        ("1 nautical_mile", 1852.0, 0.0),  # BIPM SI Brochure (2006), table 8
        ("180 degree", math.pi, 1e-15),  # definition of the radian
        ("1 turn", 2 * math.pi, 1e-15),  # definition of the radian
        ("1 h", 3600.0, 0.0),  # BIPM SI Brochure (2019), table 8
    ],
)
def test_units_are_what_the_standards_say(text: str, value: float, half: float) -> None:
    assert si(parse(text)) == pytest.approx(value, rel=0, abs=half)


KINDS = ("m", "m**2", "kg", "s", "m/s", "N", "radian", "N*m", "kg/m")


def _known_units() -> list[str]:
    """The long name of every unit pint knows that is of a kind a scenario holds."""
    wanted = {units.registry.Unit(kind).dimensionality for kind in KINDS}
    found = set()
    for name in list(units.registry._units):
        try:
            unit = units.registry.Unit(name)
        except (pint.PintError, TypeError):
            continue
        plain = units.Quantity(1.0, unit)._is_multiplicative and str(unit) not in ("percent", "permille")
        if plain and unit.dimensionality in wanted:
            found.add(str(unit))
    return sorted(found)


KNOWN = _known_units()


def test_there_are_units_to_try() -> None:
    assert len(KNOWN) > 100
    assert {"foot", "knot", "ton", "long_ton", "force_pound", "degree", "fathom"} <= set(KNOWN)


@settings(deadline=None)
@given(st.sampled_from(KNOWN), st.floats(-1e6, 1e6))
def test_si_is_what_the_library_converts_to(unit: str, value: float) -> None:
    """The factors are kept; the library works each conversion out."""
    told_by_pint = units.Quantity(value, unit).to_base_units().magnitude
    assert si(quantity(value, unit)) == pytest.approx(told_by_pint, rel=1e-15, abs=0)


@settings(deadline=None)
@given(st.sampled_from(KNOWN), st.floats(-1e9, 1e9))
def test_what_is_written_is_read_back(unit: str, value: float) -> None:
    value = float(f"{value:.12g}")
    back = parse(write(quantity(value, unit)))
    assert back.magnitude == value
    assert back.units == units.registry.Unit(unit)


@pytest.mark.parametrize("unit", ["femtometer", "gigabarn", "millicarat", "gigabarn/millicarat²"])
def test_a_unit_whose_short_name_is_another_units_is_written_out(unit: str) -> None:
    """To pint ``fm`` is the fermi, ``Gb`` the gilbert and ``mct`` the millionth of a tonne."""
    assert write(quantity(1.5, unit)) == f"1.5 {unit}"
    assert parse(f"1.5 {unit}").units == units.registry.Unit(unit)


def test_a_unit_with_a_zero_of_its_own_has_no_factor() -> None:
    with pytest.raises(
        ValueError, match=r"^degree_Celsius has a zero of its own\. Expected a unit that SI is"
    ):
        si(quantity(20.0, "degC"))


# --- What people write --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("8 mm", 8.0, "mm"),
        ("8mm", 8.0, "mm"),
        (" 8  mm\n", 8.0, "mm"),
        ("5/16 in", 0.3125, "in"),
        ("1 1/2 in", 1.5, "in"),
        ("1-1/2 in", 1.5, "in"),
        ("-1 1/2 ft", -1.5, "ft"),
        ("-1/2 ft", -0.5, "ft"),
        ("+5. m", 5.0, "m"),
        (".5 m", 0.5, "m"),
        ("1e3 kg", 1000.0, "kg"),
        ("−4.9 m", -4.9, "m"),  # the minus sign of a word processor
        ("30 knots", 30.0, "knot"),
        ("30 kn", 30.0, "knot"),
        ("30 kt", 30.0, "knot"),
        ("45°", 45.0, "degree"),
        ("45 deg", 45.0, "degree"),
        ("3 m²", 3.0, "m²"),
        ("3 m^2", 3.0, "m²"),
        ("3 m**2", 3.0, "m²"),
        ("3 sq ft", 3.0, "ft²"),
        ("2 t", 2.0, "tonne"),
        ("2 short_ton", 2.0, "short_ton"),
        ("2 long_ton", 2.0, "long_ton"),
        ("1.4 kg/m", 1.4, "kg/m"),
        ("12 feet", 12.0, "ft"),
        ("12 pounds", 12.0, "lb"),
        ("5 metres", 5.0, "m"),
        ("900 lbf", 900.0, "lbf"),
        ("4 minutes", 4.0, "min"),
    ],
)
def test_what_people_write_is_read(text: str, value: float, unit: str) -> None:
    found = parse(text)
    assert (found.magnitude, found.units) == (value, units.registry.Unit(unit))


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", '"" is not a number with a unit'),
        ("m", '"m" is not a number with a unit'),
        ("six metres", '"six metres" is not a number with a unit'),
        ("nan m", '"nan m" is not a number with a unit'),
        ("1.2.3 m", '"1.2.3 m" is not one number with a known unit'),
        ("5", '"5" has no unit'),
        ("5/16", '"5/16" has no unit'),
        ("1,5 m", '"1,5 m" has a comma in its number in place of a point'),
        ("1,000 lb", '"1,000 lb" has a comma in its number in place of a point'),
        ("1/0 in", '"1/0 in" is not one number with a known unit'),
        ("5 ft 6 in", '"5 ft 6 in" is not one number with a known unit'),
        ("3 furlings", '"3 furlings" is not one number with a known unit'),
        ("3 m2", '"3 m2" is not one number with a known unit'),
        ("3 %", '"3 %" is not one number with a known unit'),
        ('3 "', "'3 \"' is not one number with a known unit"),
        ("20 degC", '"20 degC" is not one number with a known unit'),
        ("8 m**99", '"8 m**99" is not one number with a known unit'),
        ("8 ft/ft", '"8 ft/ft" is not one number with a known unit'),
        ("8 ¼", '"8 ¼" is not one number with a known unit'),
        ("8 m²²", '"8 m²²" is not one number with a known unit'),
        ("8 m**9**9**9", '"8 m**9**9**9" is not one number with a known unit'),
        ("8 __import__('os')", "\"8 __import__('os')\" is not one number with a known unit"),
        ("8 m\x07", '"8 m\\u0007" is not one number with a known unit'),
        ("8 " + "m " * 40, f'"{("8 " + "m " * 40)[:60]}…" is not a number with a unit'),
        ("8 ton", '"8 ton" may be a tonne, a short_ton or a long_ton'),
        ("8 tons", '"8 tons" may be a tonne, a short_ton or a long_ton'),
    ],
)
def test_what_cannot_be_read_is_told_in_a_clause(text: str, sentence: str) -> None:
    with pytest.raises(ValueError) as caught:
        parse(text)
    assert str(caught.value) == sentence


PIECES = st.sampled_from(
    [*"89-+.,/*^() °²e['\"\n\\_%µÅ𝟖٣", "m", "kN", "kn", "**", "ton", "in", "lambda", "0x", "²²", "degC", "dB"]
)


@settings(deadline=None)
@given(st.one_of(st.text(max_size=40), st.lists(PIECES, max_size=10).map("".join)))
def test_any_text_is_a_quantity_or_a_clause(text: str) -> None:
    try:
        found = parse(text)
    except ValueError as error:
        assert "\n" not in str(error)
        assert len(str(error)) < 200
    else:
        assert math.isfinite(found.magnitude) or found.magnitude == math.inf
        assert parse(write(found)).units == found.units


# --- What people read ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "unit", "shown", "system", "text"),
    [
        (5338.0, "N", "kN", "metric", "5.34 kN"),
        (5338.0, "N", "kN", "US", "1200 lbf"),
        (0.0, "N", "kN", "metric", "0 kN"),
        (12.0, "m", "m", "US", "39.4 ft"),
        (math.radians(225.0), "radian", "degree", "US", "225°"),
        (18.0, "m/s", "knot", "US", "35 kn"),
        (8500.0, "kg", "tonne", "metric", "8.5 tonne"),
        (8500.0, "kg", "tonne", "US", "18700 lb"),
        (-0.02, "m", "mm", "metric", "-20 mm"),
        (math.inf, "N", "kN", "metric", "inf kN"),
        (3.0, "m²", "m²", "US", "32.3 ft²"),
    ],
)
def test_numbers_are_shown_to_three_digits(
    value: float, unit: str, shown: str, system: str, text: str
) -> None:
    assert show(quantity(value, unit), shown, system) == text  # type: ignore[arg-type]


@settings(deadline=None)
@given(st.floats(1e-6, 1e9), st.integers(1, 6))
def test_what_is_shown_is_the_value_to_its_digits(value: float, digits: int) -> None:
    number = float(show(quantity(value, "N"), "N", digits=digits).split()[0])
    assert number == pytest.approx(value, rel=0.5000001 * 10.0 ** (1 - digits))


def test_a_length_is_not_shown_in_knots() -> None:
    with pytest.raises(ValueError, match=r"^3 m has no amount in knot\.$"):
        show(quantity(3.0, "m"), "knot")


def test_names_on_screen_cannot_be_mistaken() -> None:
    names = {
        text: unit_name(parse(text)) for text in ("1 knot", "1 kN", "1 degree", "1 tonne", "1 short_ton")
    }
    assert names == {
        "1 knot": "knot",
        "1 kN": "kN",
        "1 degree": "degree",
        "1 tonne": "tonne",
        "1 short_ton": "short_ton",
    }
    assert len({name.lower() for name in names.values()}) == len(names)


@pytest.mark.parametrize("metric", ["m", "mm", "kg", "kN", "m²", "tonne", "knot", "degree", "min", "s"])
def test_the_us_unit_measures_the_same(metric: str) -> None:
    assert quantity(1.0, us_unit(metric)).is_compatible_with(metric)


def test_what_was_given_is_repeated_on_one_short_line() -> None:
    cases = [
        ("8 mm", '"8 mm"'),
        ("a\nb", '"a\\nb"'),
        ("x" * 99, f'"{"x" * 60}…"'),
        (True, "true"),
        (None, "nothing"),
        (5, "5"),
        (5.5, "5.5"),
        (math.nan, "nan"),
        (10**400, "a number far too large"),
        ({"a": 1}, "a table of keys"),
        ([1], "a list"),
        (quantity(8.0, "mm"), "8 mm"),
        (quantity(np.ones(3), "mm"), "a quantity that is not one number"),
        (np.ones((2, 2)), "[[1. 1.] [1. 1.]]"),
    ]
    assert [quoted(given) for given, _ in cases] == [text for _, text in cases]


# --- One registry -------------------------------------------------------------------------------------------

SOURCES = sorted(Path(anchorsim.__file__).parent.rglob("*.py"))


def test_only_one_module_knows_pint() -> None:
    def imported(path: Path) -> set[str]:
        names: set[str] = set()
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                names |= {alias.name for alias in node.names}
            elif isinstance(node, ast.ImportFrom):
                names.add(node.module or "")
        return {name.split(".")[0] for name in names}

    assert [path.name for path in SOURCES if "pint" in imported(path)] == ["units.py"]


def test_there_is_one_registry() -> None:
    assert pint.get_application_registry().get() is units.registry
    samples = [quantity(1.0, "m"), parse("1 m"), pickle.loads(pickle.dumps(parse("1 m")))]
    assert {id(sample._REGISTRY) for sample in samples} == {id(units.registry)}
    assert samples[2] == samples[0]


@pytest.mark.parametrize("fault", ["not a folder", "half written"])
def test_a_cache_that_cannot_be_used_is_done_without(tmp_path: Path, fault: str) -> None:
    cache = tmp_path / "cache"
    if fault == "not a folder":
        cache.write_text("")
    else:
        registry = pint.UnitRegistry(cache_folder=cache / "pint")
        assert registry.meter
        halved = list((cache / "pint").rglob("*.pickle"))
        assert halved
        for path in halved:
            path.write_bytes(path.read_bytes()[:100])
    code = "from anchorsim.core.units import parse, write; print(write(parse('1/4 ft')))"
    environment = {**os.environ, "XDG_CACHE_HOME": str(cache)}
    done = subprocess.run(
        [sys.executable, "-c", code], env=environment, capture_output=True, text=True, check=False
    )
    assert (done.stdout.strip(), done.returncode) == ("0.25 ft", 0), done.stderr


def test_reading_a_text_twice_gives_two_quantities() -> None:
    first, second = parse("8 mm"), parse("8 mm")
    first.ito("in")
    assert str(second.units) == "millimeter"
