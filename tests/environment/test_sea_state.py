"""Waves: growth against published figures, spectrum, dispersion, and the sea that is drawn from them."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from anchorsim.core.units import GRAVITY
from anchorsim.environment import sea_state as sea
from anchorsim.environment.turbulence import STEP
from anchorsim.scenario.scenario import Scenario, ScenarioError

STOCK = Scenario()


# --- growth ---


def test_in_deep_water_the_two_laws_agree_where_both_have_their_data():
    """Two fits to measurements of others: they cross near a fetch of 1000 U²/g, the middle of both."""
    wind = 10.0
    fetch = 1000.0 * wind**2 / GRAVITY
    assert sea.growth(wind, fetch, 500.0) == pytest.approx(sea.jonswap_growth(wind, fetch), rel=0.04)


def test_growth_in_deep_water_and_over_a_short_fetch_is_a_power_of_the_fetch():
    """With tanh A = 1 and tanh B = B the law is one of powers: ε ∝ χ^(0.57 · 1.74), ν ∝ χ^(−0.73 · 0.37)."""
    (height, period), (higher, longer) = (sea.growth(25.0, fetch, 2000.0) for fetch in (30.0, 60.0))
    assert (higher / height) ** 2 == pytest.approx(2.0 ** (0.57 * 1.74), rel=1e-3)
    assert longer / period == pytest.approx(2.0 ** (0.73 * 0.37), rel=1e-3)


def test_waves_grow_with_wind_fetch_and_depth_and_end_growing():
    heights = [sea.growth(15.0, fetch, 6.0)[0] for fetch in np.geomspace(100.0, 1e6, 40)]
    assert (np.diff(heights) >= 0.0).all()
    assert heights[-1] == pytest.approx(heights[-2], rel=1e-3), "the depth ends it"
    assert (np.diff([sea.growth(wind, 3000.0, 6.0)[0] for wind in range(1, 40)]) > 0.0).all()
    assert (np.diff([sea.growth(15.0, 3000.0, depth)[0] for depth in (1, 2, 4, 8, 16)]) > 0.0).all()
    assert sea.growth(0.0, 3000.0, 6.0) == sea.growth(15.0, 0.0, 6.0) == (0.0, 0.0)


def test_doubling_all_by_their_dimensions():
    """Froude: twice the wind over four times fetch and depth: four times the height, twice the period."""
    height, period = sea.growth(10.0, 3000.0, 5.0)
    assert sea.growth(20.0, 12000.0, 20.0) == pytest.approx((4 * height, 2 * period))


# --- spectrum and dispersion ---


@pytest.mark.parametrize(("height", "period"), [(0.4, 2.2), (1.0, 4.0), (2.5, 8.0)])
def test_the_spectrum_holds_the_energy_and_peaks_where_it_is_told(height, period):
    density = lambda f: float(sea.spectrum(f, height, period))  # noqa: E731
    held = sum(quad(density, a / period, b / period)[0] for a, b in ((0.2, 1.0), (1.0, 3.0), (3.0, 200.0)))
    assert held == pytest.approx(height**2 / 16.0, rel=1e-5)
    near = np.linspace(0.5, 2.0, 3001) / period
    assert near[np.argmax(sea.spectrum(near, height, period))] == pytest.approx(1.0 / period, rel=1e-3)
    tail = sea.spectrum(6.0 / period, height, period) / sea.spectrum(12.0 / period, height, period)
    assert tail == pytest.approx(32.0, rel=0.01), "f⁻⁵ (Phillips)"


def test_the_peak_stands_3_3_times_over_the_spectrum_of_a_full_sea():
    """γ 3.3, Hasselmann et al. (1973); with σ 0.07 nothing of it is left half a peak frequency below."""
    ratio = sea.spectrum(1.0, 1.0, 1.0) / sea.spectrum(0.5, 1.0, 1.0)
    full = math.exp(-1.25) / (32.0 * math.exp(-1.25 * 16.0))
    assert ratio / full == pytest.approx(3.3, rel=1e-9)


def test_dispersion_against_a_root_finder_and_its_limits():
    for frequency in (0.05, 0.15, 0.3, 0.6, 1.5):
        for depth in (0.8, 3.0, 10.0, 60.0):
            omega = 2.0 * math.pi * frequency
            root = brentq(lambda k: GRAVITY * k * math.tanh(k * depth) - omega**2, 1e-6, 100.0, xtol=1e-14)  # noqa: B023
            assert float(sea.wavenumber(frequency, depth)) == pytest.approx(root, rel=1e-9)
    assert float(sea.wavenumber(1.0, 50.0)) == pytest.approx((2 * math.pi) ** 2 / GRAVITY, rel=1e-12)
    shallow = 2 * math.pi * 0.01 / math.sqrt(GRAVITY * 2.0)
    assert float(sea.wavenumber(0.01, 2.0)) == pytest.approx(shallow, rel=1e-3)


def test_a_wavenumber_that_is_not_found_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sea, "_STEPS", 0)
    with pytest.raises(RuntimeError, match=r"wavenumbers of waves in 5 m were not found in 0 steps; needed"):
        sea.wavenumber(0.1, 5.0)


# --- how a hull answers ---

YACHT = sea.Box(10.0, 3.0, 0.45)


@pytest.mark.parametrize(
    ("period", "bow"),
    [
        (
            2.5,
            0.807,
        ),  # closed forms of Jensen, Mansour & Olsen (2004), Ocean Eng. 31, worked by hand; L 10, B 3,
        (3.0, 1.254),  # T 0.45 m, head to the waves, the bow 5 m ahead of amidships; metres for a metre
        (3.5, 1.327),  # the same
        (4.0, 1.283),  # the same
        (5.0, 1.164),  # the same
        (6.0, 1.091),  # the same
    ],
)
def test_the_bow_of_a_yacht_head_to_the_waves(period, bow, monkeypatch):
    monkeypatch.setattr(sea, "GRAVITY", 9.81)  # as whoever worked them had it
    heave, slope, _ = sea.response(1.0 / period, 1000.0, YACHT, 1.0)
    assert abs(complex(heave, 5.0 * slope)) == pytest.approx(bow, abs=0.0005)


@pytest.mark.parametrize("cosine", [1.0, 0.8, 0.3, 0.0, -0.6, -1.0])
def test_a_long_wave_carries_her_as_it_does_the_water(cosine):
    """Up with the surface, along with its orbits, coth kD wide, and trimmed by its slope, k cos β."""
    depth, frequency = 10.0, 0.02
    k = float(sea.wavenumber(frequency, depth))
    assert k * 5.0 < 0.07
    heave, slope, way = sea.response(frequency, depth, YACHT, cosine)
    assert float(heave) == pytest.approx(1.0, abs=0.02)
    assert float(slope) == pytest.approx(k, rel=0.02)
    assert float(way) == pytest.approx(1.0 / math.tanh(k * depth), rel=2e-3)


@pytest.mark.parametrize("cosine", [1.0, 0.7, 0.2, 0.0])
def test_a_short_wave_leaves_her_alone(cosine):
    for frequency in (0.9, 1.3, 2.0, 5.0):
        heave, slope, way = (float(one) for one in sea.response(frequency, 10.0, YACHT, cosine))
        assert abs(heave) < 0.15
        assert abs(slope) * 5.0 < 0.15 if cosine else abs(slope) < 1.0
        assert abs(way) < (0.15 if frequency > 1.2 else 0.45)


@pytest.mark.parametrize("frequency", [0.1, 0.25, 0.4, 0.7])
@pytest.mark.parametrize("cosine", [1.0, 0.6, -0.6, 0.0])
def test_way_is_the_mean_over_her_waterplane(frequency, cosine):
    """The water's orbits at the surface, over a box of that length and breadth, summed by quadrature."""
    depth = 7.0
    k, sine = float(sea.wavenumber(frequency, depth)), math.sqrt(1.0 - cosine**2)
    mean = lambda over, width: quad(lambda s: math.cos(k * over * s), -width / 2, width / 2)[0] / width  # noqa: E731
    found = float(sea.response(frequency, depth, YACHT, cosine)[2])
    assert found == pytest.approx(mean(cosine, 10.0) * mean(sine, 3.0) / math.tanh(k * depth), abs=1e-4)


def test_the_slope_is_that_of_a_plane_through_the_surface():
    """With no draught nothing but the wave's own: a plane fitted along her length by least squares."""
    flat = sea.Box(10.0, 1e-3, 1e-9)
    for frequency in (0.15, 0.3, 0.45):
        k = float(sea.wavenumber(frequency, 50.0))
        over = quad(lambda s, k=k: s * math.sin(k * s), -5.0, 5.0)[0] / quad(lambda s: s * s, -5.0, 5.0)[0]
        assert float(sea.response(frequency, 50.0, flat, 1.0)[1]) == pytest.approx(over, rel=1e-3)


def test_two_hulls_abeam_are_carried_by_the_mean_of_two():
    one, two = sea.Box(10.0, 1.0, 0.5), sea.Box(10.0, 1.0, 0.5, 5.0)
    for frequency in (0.15, 0.3):
        k = float(sea.wavenumber(frequency, 30.0))
        ratio = sea.response(frequency, 30.0, two, 0.0)[0] / sea.response(frequency, 30.0, one, 0.0)[0]
        assert float(ratio) == pytest.approx(0.5 * (math.cos(2.5 * k) + math.cos(-2.5 * k)))
        head = [sea.response(frequency, 30.0, box, 1.0)[0] for box in (one, two)]
        assert float(head[0]) == float(head[1])


# --- how waves push, and how long they take to grow ---


def test_a_short_sea_is_turned_back_whole_and_a_swell_runs_beneath():
    """ρgHs²/16 a metre on a wall, Faltinsen (1990), from memory; worked for Hs 0.72 m: 326 N."""
    wall = 1025.0 * 9.81 * 0.72**2 / 16.0
    assert wall == pytest.approx(326.0, abs=0.5)
    assert sea.reflected(0.72, 2.9, 50.0, 100.0) == pytest.approx(wall, rel=0.01)
    shares = [sea.reflected(0.72, period, 50.0, 0.58) / wall for period in (1.2, 2.0, 2.9, 5.0, 10.0)]
    assert shares[0] > 0.93
    assert all(more > less for more, less in itertools.pairwise(shares))
    assert shares[-1] < 0.09
    single = -math.expm1(-2.0 * 0.58 * float(sea.wavenumber(1.0 / 2.9, 50.0)))  # of the peak's wave alone
    assert shares[2] == pytest.approx(single, rel=0.25)


@pytest.mark.parametrize(("wind", "fetch"), [(15.0, 2000.0), (20.0, 5000.0), (10.0, 20000.0)])
def test_the_time_a_sea_takes_to_grow(wind, fetch):
    """t = 77.23 F^0.67/(U^0.34 g^0.33), Coastal Engineering Manual II-2-35, reprint.  Ours has ⅔, ⅓, ⅓."""
    printed = 77.23 * fetch**0.67 / (wind**0.34 * 9.81**0.33)
    assert sea.growth_time(sea.jonswap_growth(wind, fetch)[0], wind) == pytest.approx(printed, rel=0.03)
    assert sea.growth_time(0.5, 0.0) == math.inf
    assert sea.growth_time(0.5, 5.0) > sea.growth_time(0.5, 15.0)


# --- the sea that is drawn ---


def bow(frequency, depth):
    heave, slope, _ = sea.response(frequency, depth, YACHT, 1.0)
    return heave + 5.6j * slope


def amplitudes(height, period, depth=6.0):
    root = np.sqrt(sea.spectrum(sea.FREQUENCY, height, period))
    return root * bow(sea.FREQUENCY, depth)


def test_the_variance_is_the_integral_of_the_filtered_spectrum():
    """Over 300 windows; how far their mean may be off is taken from how they scatter."""
    filtered = amplitudes(0.8, 3.5)
    series = [sea.realise(seed, [(filtered,)], [0.0], 2400)[:, 0] for seed in range(300)]
    variances = np.array([np.mean(one**2) for one in series])
    density = lambda f: float(  # noqa: E731
        sea.spectrum(f, 0.8, 3.5) * abs(complex(bow(f, 6.0))) ** 2
    )
    held = sum(quad(density, a, b, limit=200)[0] for a, b in ((0.05, 1 / 3.5), (1 / 3.5, 0.8), (0.8, 2.0)))
    error = variances.std() / math.sqrt(len(variances))
    assert error < 0.02 * held
    assert abs(variances.mean() - held) < 3.0 * error


def test_the_same_seed_is_the_same_sea_and_a_longer_watch_begins_with_the_shorter():
    filtered = amplitudes(0.8, 3.5)
    long = sea.realise(5, [(filtered,)], [0.0], 6001)
    assert np.array_equal(long[:2401], sea.realise(5, [(filtered,)], [0.0], 2401))
    assert np.array_equal(sea.realise(5, [(2.0 * filtered,)], [0.0], 2401), 2.0 * long[:2401])
    assert not np.array_equal(sea.realise(6, [(filtered,)], [0.0], 2401), long[:2401])
    at_joint = np.abs(np.diff(long[2380:2660, 0]))
    assert at_joint.max() < 1.5 * np.abs(np.diff(long[:, 0])).max(), "windows join without a jump"


def test_one_sea_turns_into_the_next():
    low, high = amplitudes(0.4, 2.5), amplitudes(1.0, 4.0)
    mixed = sea.realise(5, [(low,), (high,)], [200.0, 400.0], 2401)[:, 0]
    alone = [sea.realise(5, [(one,)], [0.0], 2401)[:, 0] for one in (low, high)]
    time = STEP * np.arange(2401)
    assert mixed[time <= 200.0] == pytest.approx(alone[0][time <= 200.0])
    assert mixed[time >= 400.0] == pytest.approx(alone[1][time >= 400.0])
    half = int(300.0 / STEP)
    assert mixed[half] == pytest.approx(0.5 * (alone[0][half] + alone[1][half]))


# --- fetch by bearing ---


# --- on a current ---


@pytest.mark.parametrize("along", [-0.7, -0.4, -0.1, 0.3, 1.5])
def test_waves_on_a_current_keep_their_frequency_and_their_action(along):
    """(ω − kU)² = gk by a root finder, and E(U + c_g)/σ kept (Bretherton & Garrett 1968, from memory)."""
    height, period = 0.05, 2.5
    omega = 2.0 * math.pi / period
    still = omega**2 / GRAVITY
    top = 4.0 * still if along < 0.0 else still  # the short root, that waves run on to, is below ω²·4/g

    def miss(k):
        return (omega - k * along) ** 2 - GRAVITY * k

    k = brentq(miss, 1e-6, top, xtol=1e-14)
    sigma = omega - k * along
    action = (GRAVITY / (2.0 * omega)) / omega / ((along + GRAVITY / (2.0 * sigma)) / sigma)
    assert sea.on_current(height, period, along) == pytest.approx(height * math.sqrt(action), rel=1e-9)


def test_wind_against_tide_raises_the_sea_until_it_breaks():
    height, period = 0.3, 2.5
    omega = 2.0 * math.pi / period
    currents = -0.05 * np.arange(19)  # to 0.9 m/s; a quarter of c₀ is 0.976
    heights = [sea.on_current(height, period, along) for along in currents]
    assert heights[0] == height < heights[1] < heights[2]
    for along, found in zip(currents, heights, strict=True):
        k = brentq(lambda k, u=along: (omega - k * u) ** 2 - GRAVITY * k, 1e-6, 3.9 * omega**2 / GRAVITY)
        assert found <= 0.07 * 2.0 * math.pi / k * (1.0 + 1e-9), "no steeper than waves can be"
    assert heights[-1] < height, "where the stream all but stops them they are short, and have broken"
    stopped = 0.07 * 0.25 * GRAVITY * period**2 / (2.0 * math.pi)  # length c₀T/4 where U = −c₀/4
    assert sea.on_current(height, period, -2.0) == pytest.approx(stopped)
    assert sea.on_current(height, period, 1.0) < height
    assert sea.on_current(0.0, 0.0, -1.0) == 0.0


def test_fetch_between_bearings_right_round_the_compass():
    """Straight lines between bearings, by hand."""
    spot = STOCK.vary(
        {
            "spot.fetches": [
                {"bearing": "340 degree", "distance": "2 km"},
                {"bearing": "20 degree", "distance": "6 km"},
                {"bearing": "180 degree", "distance": "0 m"},
            ]
        }
    ).spot
    for bearing, fetch in (
        (340, 2000),
        (0, 4000),
        (360, 4000),
        (10, 5000),
        (20, 6000),
        (100, 3000),
        (260, 1000),
    ):
        assert spot.fetch(math.radians(bearing)) == pytest.approx(fetch, abs=1e-6)
    single = STOCK.vary({"spot.fetches": [{"bearing": "90 degree", "distance": "700 m"}]}).spot
    assert single.fetch(1.0) == single.fetch(4.0) == pytest.approx(700.0)
    assert STOCK.spot.fetch(1.0) == 0.0


def test_fetches_stand_in_the_file(tmp_path):
    told = {"spot.fetches": [{"bearing": "225 degree", "distance": "2 nautical_mile"}]}
    given = {"wave_height": "0.5 m", "wave_period": "3 s", "wave_direction": "200 degree"}
    scenario = STOCK.vary({**told, **{f"weather.{name}": value for name, value in given.items()}})
    scenario.save(tmp_path / "sea.toml")
    assert Scenario.load(tmp_path / "sea.toml") == scenario
    assert "fetches" not in STOCK.document()["spot"]


def test_a_bearing_given_twice_is_refused():
    rows = [{"bearing": "0 degree", "distance": "1 km"}, {"bearing": "360 degree", "distance": "2 km"}]
    with pytest.raises(
        ScenarioError, match=r"^spot\.fetches\.1\.bearing .*: 360 degree appears twice\. Expected one"
    ):
        STOCK.vary({"spot.fetches": rows})
