"""The compiled statics part by part in plain Python: by quadrature, and their slopes by differences."""

from __future__ import annotations

import math

import numpy as np
import pytest
from plain_kernels import plainly
from scipy.integrate import quad
from scipy.interpolate import CubicHermiteSpline

from anchorsim.mooring import curve_kernel, line_kernel, material
from anchorsim.mooring import line_kernel as of
from anchorsim.mooring.material import LoadElongation, Segment, pack
from anchorsim.mooring.statics import Line

CHAIN = Segment(length=25.0, weight=13.6, weight_in_air=15.7, stiffness=4e5)
NYLON = LoadElongation(load=(0.0, 2e3, 6e3, 2e4), strain=(0.0, 0.12, 0.22, 0.35), loss=0.3)
ROPE = Segment(length=18.0, weight=1.5, weight_in_air=9.0, law=NYLON)
BACKED = Segment(length=8.0, weight=16.0, weight_in_air=19.0, law=NYLON, slack=0.8, backup_stiffness=2e5)
MIXED = (CHAIN, ROPE, Segment(length=6.0, weight=20.0, weight_in_air=23.0, stiffness=8e5))
NODES = np.array([[0.0, 0.0, 5e-5, 4e-5], [2e3, 0.1, 4e-5, 2e-5], [7e3, 0.22, 2e-5, 2e-5]])


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> None:
    plainly(monkeypatch, curve_kernel, line_kernel, material)


# --- Stretch ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("load", [0.0, 500.0, 1999.0, 2000.0, 4200.0, 6999.0])
def test_a_law_is_the_cubic_of_its_nodes(load: float) -> None:
    first, second = NODES[0, 2:], NODES[1, 2:]
    low, (a, b) = (0, first) if load < 2e3 else (1, second)
    piece = CubicHermiteSpline(NODES[low : low + 2, 0], NODES[low : low + 2, 1], [a, b])
    assert of.strain_at(NODES, 0, 2, load) == pytest.approx((float(piece(load)), float(piece(load, 1))))


def test_a_law_goes_on_with_its_last_slope() -> None:
    assert of.strain_at(NODES, 0, 2, 7e3) == pytest.approx((0.22, 2e-5))
    assert of.strain_at(NODES, 0, 2, 12e3) == pytest.approx((0.32, 2e-5))
    assert of.strain_at(NODES, 1, 1, 3e3) == pytest.approx((0.1 + 1e3 * 4e-5, 4e-5)), "one node is a line"


def test_chain_stretches_in_proportion_and_loses_nothing() -> None:
    rode, laws = pack((CHAIN,))
    assert of.stretch(rode[0], laws, 800.0) == pytest.approx((2e-3, 2.5e-6, 0.0))


@pytest.mark.parametrize("load", [100.0, 1500.0, 5000.0])
def test_rope_loses_its_share_and_the_chain_beside_it_nothing(load: float) -> None:
    """Beyond the slack rope and chain stretch alike: of the next newton the rope has what chain leaves."""
    rode, laws = pack((BACKED,))
    strain, slope, lossy = of.stretch(rode[0], laws, load)
    assert strain == pytest.approx(of.strain_at(laws, 0, len(laws) - 1, load)[0])
    backup = 2e5 * 8.0 / 8.8  # N for each strain: chain of 8.8 m beside 8 m of rope
    takes_up = strain > 0.1
    assert takes_up == (load > 1.6e3)
    share = 1.0 - backup * slope if takes_up else 1.0
    assert lossy == pytest.approx(0.3 * slope * share)
    more, less = (of.strain_at(laws, 0, len(laws) - 1, load + by)[0] for by in (1.0, -1.0))
    assert slope == pytest.approx((more - less) / 2.0, rel=1e-3)
    if takes_up:
        alone, laws = pack((ROPE,))
        assert of.stretch(alone[0], laws, load - backup * (strain - 0.1))[0] == pytest.approx(
            strain, rel=1e-4
        )


# --- A part that hangs --------------------------------------------------------------------------------------

HANGS = [(900.0, 300.0), (900.0, 0.0), (400.0, -150.0), (400.0, -900.0), (5.0, 200.0), (2e4, 40.0)]


def by_quadrature(
    h: float, v: float, weight: float, length: float, segment: Segment
) -> tuple[float, float, float]:
    """Δx, Δz and the mean tension of one uniform part: ∫ (1 + strain) (H, V)/T ds and ∫ T ds / L."""

    def tension(s: float) -> float:
        return math.hypot(h, v + weight * s)

    points = [-v / weight] if weight > 0.0 and 0.0 < -v / weight < length else None

    def total(value: object) -> float:
        return float(quad(value, 0.0, length, points=points, epsabs=1e-12, epsrel=1e-13, limit=200)[0])  # type: ignore[arg-type]

    mean = total(tension) / length
    if segment.law is None:
        assert segment.stiffness is not None
        each = 1.0 / segment.stiffness
        return (
            total(lambda s: h / tension(s) + h * each),
            total(lambda s: (v + weight * s) / tension(s) + (v + weight * s) * each),
            mean,
        )
    rode, laws = pack((segment,))
    scale = 1.0 + of.stretch(rode[0], laws, mean)[0]
    return (
        scale * total(lambda s: h / tension(s)),
        scale * total(lambda s: (v + weight * s) / tension(s)),
        mean,
    )


@pytest.mark.parametrize(("h", "v"), HANGS)
@pytest.mark.parametrize("segment", [CHAIN, ROPE, BACKED])
@pytest.mark.parametrize("weight", [13.6, 0.0])
def test_a_part_spans_what_quadrature_says_and_its_slopes_are_differences(
    h: float, v: float, segment: Segment, weight: float
) -> None:
    (row,), laws = pack((segment,))
    length = 12.0
    x, z, x_h, x_v, z_v, x_l, z_l, mean_h, mean_v, excess, lossy = of.element(h, v, weight, length, row, laws)
    near = by_quadrature(h, v, weight, length, segment)
    assert (x, z) == pytest.approx(near[:2], rel=1e-9, abs=1e-9)

    def slope(dh: float, dv: float, dl: float) -> np.ndarray:
        step = 1e-3 * (length if dl else max(h, abs(v)))
        ends = [
            np.array(
                by_quadrature(h + s * dh * step, v + s * dv * step, weight, length + s * dl * step, segment)
            )
            for s in (-1.0, -0.5, 0.5, 1.0)
        ]
        return np.array(
            (8.0 * (ends[2] - ends[1]) - (ends[3] - ends[0])) / (6.0 * 0.5 * step) * 0.5
        )  # Richardson's

    by_h, by_v, by_l = slope(1, 0, 0), slope(0, 1, 0), slope(0, 0, 1)
    assert by_h[:2] == pytest.approx((x_h, x_v), rel=2e-3, abs=1e-6)
    assert by_v[:2] == pytest.approx((x_v, z_v), rel=2e-3, abs=1e-6)
    assert by_l[:2] == pytest.approx((x_l, z_l), rel=2e-3, abs=1e-6)
    if segment.law is not None:
        assert (by_h[2], by_v[2]) == pytest.approx((mean_h, mean_v), rel=2e-3, abs=1e-6)
        assert by_l[2] * length == pytest.approx(excess, rel=2e-3, abs=1e-3)
        assert lossy == pytest.approx(of.stretch(row, laws, near[2])[2])
    else:
        assert lossy == 0.0


# --- A whole rode -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("hung", "found"),
    [
        (0.0, (2, 0.0, 1 / 20.0)),
        (50.0, (2, 2.5, 1 / 20.0)),
        (120.0, (1, 0.0, 1 / 1.5)),
        (135.0, (1, 10.0, 1 / 1.5)),
        (147.0, (0, 0.0, 1 / 13.6)),
        (147.0 + 136.0, (0, 10.0, 1 / 13.6)),
        (9e9, (0, 25.0, 1 / 13.6)),
    ],
)
def test_where_the_rode_leaves_the_bottom(hung: float, found: tuple[int, float, float]) -> None:
    """From the bow: 6 m of 20 N/m, 18 m of 1.5 N/m, then chain of 13.6 N/m."""
    assert of.touchdown(hung, pack(MIXED)[0]) == pytest.approx(found)


def test_what_weighs_nothing_hangs_as_a_whole() -> None:
    light = pack((Segment(length=9.0, weight=0.0, stiffness=1e5), MIXED[2]))[0]
    assert of.touchdown(120.0, light) == (0, 9.0, 0.0)


SPOTS = [
    {"rise": 8.0, "friction": 0.7, "depth": 6.5, "slope": 0.0},
    {"rise": 8.0, "friction": 0.3, "depth": 6.5, "slope": 0.09},
    {"rise": 8.0, "friction": 0.0, "depth": None, "slope": -0.12},
    {"rise": 8.0, "friction": 0.7, "depth": 3.0, "slope": 0.04},
]


@pytest.mark.parametrize("spot", SPOTS)
@pytest.mark.parametrize("segments", [MIXED, (CHAIN, BACKED), (ROPE,)])
@pytest.mark.parametrize(
    ("h", "lifted", "unknown"),
    [
        (300.0, False, 100.0),
        (60.0, False, 130.0),
        (900.0, False, 141.0),
        (700.0, True, 90.0),
        (3e3, True, 400.0),
    ],
)
def test_the_state_s_slopes_are_its_differences(
    spot: dict[str, float], segments: tuple[Segment, ...], h: float, lifted: bool, unknown: float
) -> None:
    """By the horizontal load and by what is unknown: of place, height and vertical load at the bow."""
    where, line = Line(segments, **spot).packed()
    unknown = unknown if lifted else min(unknown, 0.9 * where[4])

    def state(load: float, more: float) -> np.ndarray:
        s = np.zeros(of.STATE)
        of.integrate(s, load, lifted, more, where, line)
        return s

    s, step = state(h, unknown), 1e-4
    assert s[of.FAILED] == 0.0
    for columns, dh, du in (
        ([of.X_H, of.Z_H, of.V_H], h * step, 0.0),
        ([of.X_U, of.Z_U, of.V_U], 0.0, unknown * step),
    ):
        ends = [state(h + sign * dh, unknown + sign * du)[[of.X, of.Z, of.V]] for sign in (1.0, -1.0)]
        assert (ends[0] - ends[1]) / (2.0 * (dh + du)) == pytest.approx(s[columns], rel=1e-4, abs=1e-7)


@pytest.mark.parametrize("spot", SPOTS)
@pytest.mark.parametrize("unknown", [60.0, 140.0, 300.0])
def test_what_lies_is_held_by_friction_and_by_its_weight_along_the_slope(
    spot: dict[str, float], unknown: float
) -> None:
    """By small steps from the touchdown to the anchor: dT = −w(μ cos β + sin β) ds, never below nothing."""
    where, line = Line(MIXED, **spot).packed()
    s, h = np.zeros(of.STATE), 260.0
    of.lay(s, h, unknown, 0.0, where, line)
    cosine, sine = math.cos(spot["slope"]), math.sin(spot["slope"])
    tension, along, lying, left = h / cosine, 0.0, 0.0, unknown
    for segment in reversed(MIXED):
        hangs = min(left / segment.weight, segment.length)
        left -= hangs * segment.weight
        lies = segment.length - hangs
        (row,), laws = pack((segment,))
        count = 4000
        ds = lies / count
        pulls = np.maximum(
            tension - segment.weight * (spot["friction"] * cosine + sine) * ds * (np.arange(count) + 0.5), 0.0
        )
        if segment.law is None:
            along += lies + float(pulls.sum()) * ds / segment.stiffness  # type: ignore[operator]
        elif lies > 0.0:  # a law acts at the mean tension of what is pulled
            pulled = pulls[pulls > 0.0]
            along += lies + of.stretch(row, laws, float(pulled.mean()))[0] * len(pulled) * ds
        lying += lies
        tension = max(tension - segment.weight * (spot["friction"] * cosine + sine) * lies, 0.0)
    assert s[of.LAIN] == pytest.approx(lying)
    assert (s[of.X], s[of.Z]) == pytest.approx((along * cosine, along * sine), rel=1e-6, abs=1e-9)
    assert s[of.FAR_END] == pytest.approx(tension, rel=1e-6, abs=1e-6)


@pytest.mark.parametrize("start", [0.0, 10.0, 24.0, 26.0, 40.0])
def test_what_lies_beyond_a_point_is_all_that_is_left_of_it(start: float) -> None:
    where, line = Line(MIXED, 8.0, 0.5).packed()
    s = np.zeros(of.STATE)
    of.lay(s, 500.0, 80.0, start, where, line)
    assert s[of.LAIN] == pytest.approx(max(49.0 - 80.0 / 20.0 - start, 0.0))
    assert s[of.FAR_END] == pytest.approx(
        500.0 - 0.5 * (20.0 * min(2.0, max(45.0 - start, 0)) + 1.5 * min(18.0, max(43.0 - start, 0))
                       + 13.6 * max(25.0 - start, 0))
    )  # fmt: skip


@pytest.mark.parametrize("hung", [120.0, 3.0])
@pytest.mark.parametrize(("friction", "slope"), [(0.0, 0.0), (0.6, 0.0), (0.6, 0.08)])
def test_what_rope_gives_and_loses_is_a_form_of_both_changes(
    friction: float, slope: float, hung: float
) -> None:
    """loss · strain' · L · dT̄ dT̄ of what hangs, by quadrature, and of what lies."""
    rope = Segment(length=40.0, weight=5.0, law=NYLON)
    where, line = Line((rope,), 8.0, friction, None, slope).packed()
    s, h = np.zeros(of.STATE), 2500.0
    of.integrate(s, h, False, hung, where, line)
    tangent, cosine = math.tan(slope), math.cos(slope)

    def mean(load: float, hangs: float) -> float:
        return by_quadrature(load, load * tangent, 5.0, hangs / 5.0, rope)[2]

    by_h = (mean(h * 1.001, hung) - mean(h * 0.999, hung)) / (0.002 * h)
    by_u = (mean(h, hung * 1.001) - mean(h, hung * 0.999)) / (0.002 * hung)
    drop = 5.0 * (friction * cosine + math.sin(slope))  # N of tension less for each metre that lies
    lies = 40.0 - hung / 5.0
    (row,), laws = line[0], line[1]
    hanging = of.stretch(row, laws, mean(h, hung))[2] * hung / 5.0
    lying = of.stretch(row, laws, h / cosine - 0.5 * drop * lies)[2] * lies
    half = 0.5 * drop / 5.0  # a newton more that hangs takes a fifth of a metre from what rubs
    wanted = (
        hanging * by_h**2 + lying / cosine**2,
        hanging * by_h * by_u + lying * half / cosine,
        hanging * by_u**2 + lying * half**2,
    )
    assert s[[of.GIVE_HH, of.GIVE_HU, of.GIVE_UU]] == pytest.approx(wanted, rel=1e-5)


@pytest.mark.parametrize(
    ("h", "slope", "rise"), [(9e3, 0.16, 8.0), (300.0, 0.0, 8.0), (4e3, 0.0, 8.0), (9e3, 0.1, 8.0)]
)
def test_a_node_s_stiffness_is_the_slope_of_its_load(h: float, slope: float, rise: float) -> None:
    """On a bottom that comes up to the bow, partly lying and lifted; by differences of distance."""
    where, line = Line(MIXED, rise, 0.4, None, slope).packed()
    s, out, ends = np.zeros(of.STATE), np.zeros(of.SOLVED), []
    for load in (h * (1 - 1e-4), h * (1 + 1e-4), h):
        of.node(out, s, load, False, 0.0, False, where, line)
        assert out[of.UNSOLVED] == 0.0
        ends.append(out[of.DISTANCE])
    assert out[of.STIFFNESS] == pytest.approx(2e-4 * h / (ends[1] - ends[0]), rel=1e-4)
    assert out[of.UPRIGHT] == pytest.approx(s[of.V]) and out[of.LYING] == pytest.approx(s[of.LAIN])
    assert out[of.AT_BOW] == pytest.approx(math.hypot(h, out[of.UPRIGHT]))
    if out[of.LIFTED]:
        weight = sum(part.length * part.weight for part in MIXED)
        upright = out[of.UPRIGHT] - weight
        assert out[of.AT_ANCHOR] == pytest.approx(math.hypot(h, upright), rel=1e-9)
        assert out[of.ANGLE] == pytest.approx(math.atan2(upright, h) - slope, abs=1e-9)


def test_a_point_where_a_part_leaves_the_water_splits_it() -> None:
    """Half as heavy under water, hung upright with the surface 4 m up: 4 m of 10 N/m and 6 m of 20 N/m."""
    row = pack((Segment(length=10.0, weight=10.0, weight_in_air=20.0, stiffness=1e9),))[0][0]
    s = np.zeros(of.STATE)
    of.climb(s, 1e-6, 10.0, 0.0, 4.0, row, np.zeros((1, 4)))
    assert s[of.Z] == pytest.approx(10.0, rel=1e-5)
    assert s[of.V] == pytest.approx(4.0 * 10.0 + 6.0 * 20.0, rel=1e-5)
    dry = np.zeros(of.STATE)
    dry[of.Z] = 4.0
    of.climb(dry, 1e-6, 10.0, 0.0, 4.0, row, np.zeros((1, 4)))
    assert dry[of.V] == pytest.approx(200.0)
