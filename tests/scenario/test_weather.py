"""The weather as people describe it, and the wind that comes of it."""

from __future__ import annotations

import numpy as np
import pytest
from pydantic import ValidationError

from anchorsim.core.resources import folder
from anchorsim.core.tables import table
from anchorsim.core.units import Measure, quantity, si
from anchorsim.environment import turbulence
from anchorsim.scenario import weather as weather_module
from anchorsim.scenario.scenario import Scenario
from anchorsim.scenario.weather import Weather, Wind, gust_factor, hard_wind, realise

KNOT = 1852.0 / 3600.0


def weather(**stated: object) -> Weather:
    return Weather.model_validate({"mean_wind": "30 knot", "gust": "42 knot", **stated})


def steady(**stated: object) -> Weather:
    return weather(gust="30 knot", **stated)


def wind(told: Weather, seed: int = 1, height: float = 10.0) -> Wind:
    return realise(told, seed=seed, height=height)


# --- What a person states -------------------------------------------------------------------------------


MEANS = (3600, 600, 180, 120, 60)  # s
FACTORS = {  # 3-s gust over those means: Harper, Kepert & Ginger (2010), WMO/TD-1555, Table 1.1, reprint
    "in-land": (1.75, 1.66, 1.58, 1.55, 1.49),
    "off-land": (1.60, 1.52, 1.44, 1.42, 1.36),
    "off-sea": (1.45, 1.38, 1.31, 1.28, 1.23),
    "at-sea": (None, 1.23, 1.17, 1.15, 1.11),  # its first, 1.40 in the copies, does not fit the others
}


@pytest.mark.parametrize("exposure", FACTORS)
def test_gust_factors_as_published(exposure: str) -> None:
    for seconds, factor in zip(MEANS, FACTORS[exposure], strict=True):
        if factor is None:
            with pytest.raises(
                LookupError, match=r"no gust factor at-sea for means of 3600 s\. Expected one of 600, 180"
            ):
                gust_factor(exposure, seconds)
        else:
            assert gust_factor(exposure, seconds) == factor
    told = Weather(mean_wind=quantity(20.0, "knot"), exposure=exposure)
    ten_minutes = FACTORS[exposure][1]
    assert told.effective_gust.m_as("knot") == pytest.approx(20.0 * ten_minutes, rel=1e-12)
    assert {row["exposure"] for row in table("gust_factors")} == set(FACTORS)


def test_stated_gust_goes_before_the_exposure() -> None:
    assert weather(exposure="in-land").effective_gust.m_as("knot") == pytest.approx(42.0)


def test_every_quantity_is_declared_once() -> None:
    for name in Weather.quantities():
        declared = Weather.measure(name)
        assert isinstance(declared, Measure) and declared.label and declared.unit
        assert declared.low < declared.high and declared.step > 0.0
        default = Weather.model_fields[name].default
        assert default is None or declared.low <= default.m_as(declared.unit) <= declared.high
    assert {"mean_wind", "gust", "exposure", "direction", "squall_wind", "duration"} <= set(
        Weather.declared()
    )


def test_a_weather_survives_being_written() -> None:
    told = weather(shift="-40 degree", squall_wind="45 knot", record="log.csv")
    assert Weather.model_validate(told.model_dump(mode="json")) == told
    assert Weather.model_validate(Weather().model_dump(mode="json")) == Weather()


REFUSED = [
    (
        {"mean_wind": "30 knot", "gust": "25 knot"},
        "gust",
        "25 knot is below the mean wind. Expected at least 30 knot. Raise the gust, lower the mean "
        "wind, or leave the gust blank for a typical value.",
    ),
    (
        {"mean_wind": "30 knot", "squall_wind": "25 knot"},
        "squall_wind",
        "25 knot is below the mean wind. Expected 0 knot for no squall, or at least 30 knot. Raise "
        "the squall or lower the mean wind.",
    ),
    (
        {"squall_wind": "45 knot", "squall_start": "20 min"},
        "squall_start",
        "20 min is after the end of the spell. Expected less than 10 min. Begin the squall earlier "
        "or lengthen the spell.",
    ),
    (
        {"shift": "60 degree", "shift_start": "10 min"},
        "shift_start",
        "10 min is after the end of the spell. Expected less than 10 min. Begin the shift earlier "
        "or lengthen the spell.",
    ),
    (
        {"mean_wind": "90 knot"},
        "mean_wind",
        '"90 knot" is out of range. Expected 0 to 80 knot.',
    ),
    (
        {"mean_wind": 30},
        "mean_wind",
        '30 has no unit. Expected 0 to 80 knot. Write for example "30 knot".',
    ),
    (
        {"exposure": "of-sea"},
        "exposure",
        '"of-sea" is not known. Expected one of in-land, off-land, off-sea, at-sea; did you mean off-sea?',
    ),
    (
        {"duration": "30 s"},
        "duration",
        '"30 s" is out of range. Expected 1 to 360 min (60 to 21600 s).',
    ),
]


@pytest.mark.parametrize(("stated", "field", "sentence"), REFUSED, ids=[row[1] for row in REFUSED])
def test_what_cannot_be_is_refused_with_a_sentence(
    stated: dict[str, object], field: str, sentence: str
) -> None:
    with pytest.raises(ValidationError) as caught:
        Weather.model_validate(stated)
    (entry,) = caught.value.errors()
    context = entry.get("ctx", {})
    assert (context.get("path") or ".".join(map(str, entry["loc"]))) == field
    assert str(context.get("sentence") or context["error"]) == sentence


def test_what_does_not_happen_needs_no_time() -> None:
    assert weather(shift_start="50 min", squall_start="50 min").duration == quantity(10.0, "min")
    assert weather(record="log.csv", squall_wind="10 knot").record == "log.csv"  # the mean is the record's


@pytest.mark.parametrize("height", [0.0, -3.0, 0.4, 61.0, float("nan")])
def test_height_out_of_range(height: float) -> None:
    with pytest.raises(
        ValueError, match=r"^height: .* m is out of range\. Expected 0\.5 to 60 m above the water\.$"
    ):
        wind(weather(), height=height)


# --- The vectors ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("turn", [0.0, 17.0, 90.0, 200.0, 345.0])
def test_turning_the_direction_turns_the_vectors(turn: float) -> None:
    base, turned = wind(weather(direction="0 degree")), wind(weather(direction=f"{turn} degree"))
    angle = np.radians(turn)
    north = base.north * np.cos(angle) - base.east * np.sin(angle)
    east = base.north * np.sin(angle) + base.east * np.cos(angle)
    assert np.abs(turned.north - north).max() < 1e-12 and np.abs(turned.east - east).max() < 1e-12


@pytest.mark.parametrize(("direction", "north", "east"), [(0, -1, 0), (90, 0, -1), (180, 1, 0), (270, 0, 1)])
def test_wind_blows_away_from_where_it_comes(direction: int, north: int, east: int) -> None:
    air = wind(steady(direction=f"{direction} degree"))
    assert air.north == pytest.approx(np.full(2401, 30.0 * KNOT * north), abs=1e-12)
    assert air.east == pytest.approx(np.full(2401, 30.0 * KNOT * east), abs=1e-12)
    assert np.cos(air.direction_from - np.radians(direction)) == pytest.approx(np.ones(2401))


def test_wind_is_uniform_frozen_and_whole() -> None:
    air = wind(weather(duration="61 s"))
    assert air.step == 0.25 and len(air.north) == len(air.east) == 245
    assert air.time[0] == 0.0 and air.time[-1] == 61.0
    assert air.north.dtype == air.east.dtype == np.float64
    with pytest.raises(ValueError, match="read-only"):
        air.north[0] = 0.0
    assert air.speed == pytest.approx(np.sqrt(air.north**2 + air.east**2))
    assert (air.direction_from >= 0.0).all() and (air.direction_from < 2.0 * np.pi).all()


# --- Seeds ----------------------------------------------------------------------------------------------


def test_same_seed_same_bits_other_seed_other_wind() -> None:
    first = wind(weather(), seed=7)
    for cached in (turbulence._shares, turbulence._gust_table, turbulence._filtered):
        cached.cache_clear()
    again, other = wind(weather(), seed=7), wind(weather(), seed=8)
    assert first.north.tobytes() == again.north.tobytes() and first.east.tobytes() == again.east.tobytes()
    assert abs(np.corrcoef(first.speed, other.speed)[0, 1]) < 0.5


def test_nothing_a_person_states_touches_the_draws() -> None:
    """Whatever is stated, each frequency keeps its phase; the direction only turns it (see above)."""

    def phases(**stated: object) -> np.ndarray:
        air = wind(weather(direction="0 degree", **stated), seed=11)
        return np.angle([np.fft.rfft(part[:2400])[1:1200] for part in (air.north, air.east)])

    base = phases()
    for stated in (
        {"mean_wind": "12 knot"},
        {"gust": "60 knot"},
        {"exposure": "in-land"},
        {"duration": "45 min"},
        {"shift_start": "1 min"},
        {"squall_start": "1 min"},
    ):
        assert np.abs(np.exp(1j * phases(**stated)) - np.exp(1j * base)).max() < 1e-6, stated


def test_height_scales_the_same_eddies() -> None:
    high, low = wind(weather(direction="0 degree")), wind(weather(direction="0 degree"), height=2.0)
    assert np.corrcoef(high.north, low.north)[0, 1] == pytest.approx(1.0, abs=1e-9)
    assert low.speed.mean() < high.speed.mean() and low.east.std() > high.east.std()


@pytest.mark.parametrize("minutes", [1, 9.99, 10, 10.5, 11, 20, 37.3, 360])
def test_a_longer_watch_begins_with_the_shorter_one(minutes: float) -> None:
    happenings = {
        "shift": "30 degree",
        "shift_start": "0.5 min",
        "squall_wind": "50 knot",
        "squall_start": "0 min",
    }
    short = wind(weather(duration=f"{minutes} min", **happenings), seed=4)
    long = wind(weather(duration="360 min", **happenings), seed=4)
    assert np.array_equal(long.north[: len(short.north)], short.north)
    assert np.array_equal(long.east[: len(short.east)], short.east)


def test_the_weather_before_a_squall_is_untouched_by_it() -> None:
    plain, squall = wind(weather()), wind(weather(squall_wind="55 knot", squall_start="4 min"))
    before = plain.time <= 240.0
    assert np.array_equal(plain.north[before], squall.north[before])
    assert not np.allclose(plain.north[~before], squall.north[~before])


# --- Happenings -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("shift", [-180.0, -35.0, 90.0, 170.0])
def test_shift_goes_smoothly_from_one_direction_to_the_other(shift: float) -> None:
    told = steady(
        direction="200 degree", shift=f"{shift} degree", shift_start="2 min", shift_duration="4 min"
    )
    air = wind(told)
    turned = np.degrees(np.unwrap(air.direction_from)) - 200.0
    turned -= 360.0 * np.round(turned[0] / 360.0)
    assert turned[air.time <= 120.0] == pytest.approx(0.0, abs=1e-9)
    assert turned[air.time == 240.0] == pytest.approx(shift / 2.0, abs=1e-9)
    assert turned[air.time >= 360.0] == pytest.approx(shift, abs=1e-9)
    steps = np.diff(turned) * np.sign(shift)
    assert (steps > -1e-9).all()
    # half a cosine turns fastest half-way: π/2 times the average rate
    assert steps.max() == pytest.approx(np.pi / 2.0 * abs(shift) / 240.0 * 0.25, rel=1e-4)
    assert np.abs(np.diff(steps)).max() < 2.0 * steps.max() * 0.25 * np.pi / 240.0  # no kink
    assert air.speed == pytest.approx(np.full(2401, 30.0 * KNOT))


def test_shift_in_no_time_is_a_jump() -> None:
    air = wind(steady(direction="0 degree", shift="90 degree", shift_start="2 min", shift_duration="0 min"))
    turned = np.degrees(air.direction_from)
    assert turned[air.time < 120.0] == pytest.approx(0.0, abs=1e-9)
    assert turned[air.time >= 120.0] == pytest.approx(90.0, abs=1e-9)


def test_squall_rises_holds_turns_and_falls() -> None:
    told = weather(
        mean_wind="15 knot",
        gust="20 knot",
        direction="180 degree",
        squall_wind="45 knot",
        squall_start="2 min",
        squall_duration="5 min",
        squall_shift="60 degree",
    )
    winds = [wind(told, seed=seed) for seed in range(400)]
    north, east = (np.mean([getattr(air, name) for air in winds], axis=0) for name in ("north", "east"))
    time = winds[0].time
    speed, turned = np.hypot(north, east) / KNOT, np.degrees(np.arctan2(east, north))
    noise = 4.0 * max(np.std([air.north for air in winds], axis=0)) / np.sqrt(400) / KNOT
    assert noise < 2.0
    quiet, peak = (time < 120.0) | (time > 420.0), (time > 181.0) & (time < 299.0)
    assert speed[quiet] == pytest.approx(15.0, abs=noise) and turned[quiet] == pytest.approx(0.0, abs=6.0)
    assert speed[peak] == pytest.approx(45.0, abs=noise) and turned[peak] == pytest.approx(60.0, abs=3.0)
    half_up, half_down = np.argmin(np.abs(time - 150.0)), np.argmin(np.abs(time - 360.0))  # half-way, by hand
    for index in (half_up, half_down):
        assert speed[index] == pytest.approx(30.0, abs=noise) and turned[index] == pytest.approx(
            30.0, abs=5.0
        )


@pytest.mark.parametrize("minutes", [0.5, 1, 2, 3, 5, 10, 30, 60, 360])
def test_a_squall_rises_as_gust_fronts_do(minutes: float) -> None:
    """Mostly in a minute or less, and never in more than two (UFC 4-159-03 §3-8.2, read)."""
    told = weather(
        mean_wind="20 knot",
        gust="20 knot",
        squall_wind="40 knot",
        squall_start="1 min",
        squall_duration=f"{minutes} min",
        duration="360 min",
    )
    course = weather_module._course(told, None, time := np.arange(0.0, 21600.0, 0.25))
    mean = weather_module._with_squall(told, course, time).mean
    begins, top = time[np.argmax(mean > 20.0 * KNOT)], time[np.argmax(mean)]
    assert mean.max() == pytest.approx(40.0 * KNOT)
    assert 9.0 <= top - begins <= 60.25
    assert minutes < 3 or top - begins == pytest.approx(
        60.0, abs=0.5
    )  # about a minute, however long it lasts
    after = time[time >= 60.0 + 60.0 * minutes]
    assert mean[-len(after) :] == pytest.approx(20.0 * KNOT) if len(after) else True
    steepest_up, steepest_down = np.diff(mean).max(), -np.diff(mean).min()
    assert steepest_up >= steepest_down * (1 - 1e-6)  # no sharper out than in


def test_a_squall_shifts_as_gust_fronts_do() -> None:
    """About 60 percent of them shift by some 30 degrees (UFC 4-159-03 §3-8.2, read): what it does untold."""
    assert Weather().squall_shift == quantity(30.0, "degree")
    told = steady(squall_wind="60 knot", squall_start="1 min", direction="200 degree")
    _, ways = hard_wind(told)
    assert np.degrees(ways).max() == pytest.approx(230.0, abs=0.1)


def test_the_squalls_that_ship_are_like_gust_fronts() -> None:
    """The wind before is 0 to 75 percent of the greatest (UFC 4-159-03 §3-8.2, read)."""
    squalls = [
        told.weather
        for told in map(Scenario.load, sorted(folder("shared").glob("*.toml")))
        if si(told.weather.squall_wind) > 0
    ]
    assert squalls
    for told in squalls:
        assert si(told.mean_wind) <= 0.75 * si(told.squall_wind)
        assert abs(told.squall_shift.m_as("degree")) <= 60.0


def test_gusts_in_a_squall_are_those_of_the_exposure() -> None:
    told = weather(squall_wind="50 knot", squall_start="0 min", squall_duration="60 min", duration="30 min")
    # at its peak from the 1st to beyond the 30th minute; off-sea 1.38 (see above)
    means = [np.convolve(wind(told, seed=seed).speed, np.full(12, 1 / 12), "valid") for seed in range(150)]
    peaks = [part.max() for series in means for part in (series[2400:4790], series[4800:7190])]
    assert np.mean(peaks) / KNOT == pytest.approx(1.38 * 50.0, rel=0.02)


def test_a_squall_as_strong_as_the_wind_changes_nothing() -> None:
    plain, squall = (
        wind(steady()),
        wind(weather(gust="42 knot", squall_wind="30 knot", squall_shift="0 degree")),
    )
    assert np.array_equal(wind(weather()).north, squall.north)
    assert si(weather().mean_wind) == pytest.approx(plain.speed[0])
