"""The line in motion against the line at rest, closed forms, conservation, and a plain twin."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import NamedTuple

import numpy as np
import pytest
from line_twin import Twin
from numpy.typing import NDArray
from scipy.optimize import brentq
from scipy.special import jn_zeros

from anchorsim import full_line, full_line_kernel, line, line_mesh, lumped_line, seabed
from anchorsim.boat import hull
from anchorsim.boat_motion import Setting
from anchorsim.bow_kernel import STILL
from anchorsim.line_mesh import Mesh
from anchorsim.lumped_line import TENSION, TO_X, UNIT, Line
from anchorsim.rode import Rode, lay_out
from anchorsim.scenario import Scenario
from anchorsim.units import GRAVITY

Floats = NDArray[np.float64]
HOLDS = {"tackle.anchor.mass": "200 kg", "spot.bottom": "stiff clay"}
BARE = {"tackle.snubber.length": "0 m"}
GALE = {"weather.mean_wind": "30 kn", "weather.gust": "42 kn", "weather.duration": "60 s"}
SAMPLE = 0.02  # s
GROUND = seabed.Ground(1e9, 1.0, 1.0)


class Rig(NamedTuple):
    """A line that can be hauled on: what it is, what surrounds it, and how it is now."""

    whole: Line
    setting: Setting
    state: Floats
    nodes: Floats
    bonds: Floats


class Hauled(NamedTuple):
    time: Floats
    at_bow: Floats
    at_anchor: Floats
    lift: Floats
    places: Floats


def rig(
    rode: Rode, load: float, *, longest: float = 0.5, bearing: float = 0.0, slope: float = 0.0,
    anchor: float = math.inf, friction: float | None = None,
) -> Rig:  # fmt: skip
    """A rode at rest under a horizontal load, with the bow held at a bearing from the anchor."""
    rode = rode if friction is None else replace(rode, friction=friction)
    whole = full_line.mesh_of(rode, longest, anchor)
    nodes = full_line.lay(rode, whole.mesh, load, bearing, slope)
    setting = Setting(1.225, 1025.0, 0.0, 0.0, rode.depth, *rode.rises, rode.friction,
                      rode.rise - rode.depth, rode.spread, 1.0)  # fmt: skip
    state = np.zeros(full_line_kernel.STATE)
    tops = [-1, -1 - whole.mesh.legs] if whole.mesh.legs else [-1]
    state[:2] = nodes[tops, :2].mean(axis=0)
    state[2] = bearing + math.pi
    return Rig(whole, setting, state, nodes, np.zeros((len(whole.mesh.elements), lumped_line.BOND)))


def haul(
    one: Rig, seconds: float, path: Floats | None = None, *, calm: float = 0.0, pace: float = 0.1,
    share: float = 0.7, ground: seabed.Ground = GROUND, step: float | None = None,
) -> Hauled:  # fmt: skip
    """Move the bow of a rig along a path: rows north, east, up and their speeds, every ``pace`` s."""
    samples = round(seconds / SAMPLE) + 1
    longest = full_line.longest_step(one.whole) if step is None else step
    stride = math.ceil(SAMPLE / (share * longest))
    sea = STILL if path is None else STILL._replace(motion=np.ascontiguousarray(path), pace=pace)
    track, places, peaks = np.zeros((4, samples)), np.zeros((samples, len(one.nodes), 3)), np.zeros(3)
    full_line_kernel.haul(
        one.whole, one.setting, ground, seabed.uplift_table(), sea, 0.0, calm, SAMPLE / stride, stride,
        0, samples, one.state, one.nodes, one.bonds, track, places, peaks,
    )  # fmt: skip
    return Hauled(*track, places)


def outwards(by: float, bearing: float, seconds: float, hold: float) -> Floats:
    """A path out along a bearing, smooth at both ends, then at rest."""
    time = np.arange(0.0, seconds + hold + 0.05, 0.1)
    part = np.minimum(time / seconds, 1.0)
    way = np.array([math.cos(bearing), math.sin(bearing), 0.0])
    there, fast = by * part**2 * (3.0 - 2.0 * part), by * 6.0 * part * (1.0 - part) / seconds
    return np.hstack([there[:, None] * way, fast[:, None] * way])


def means_of(samples: Floats, many: int) -> Floats:
    """Means of so many samples each."""
    return samples[: len(samples) // many * many].reshape(-1, many).mean(axis=1)


# --- at rest ---


@pytest.mark.parametrize(
    ("changes", "loads", "bearing", "friction"),
    [
        (BARE, (300.0, 700.0), 0.0, None),
        (BARE, (300.0, 700.0), 2.0, 0.0),
        (BARE, (1500.0, 2500.0), -1.0, None),  # all of it lifted
        ({"tackle.snubber.length": "8 m"}, (400.0, 1500.0), 0.5, None),
        (
            {"tackle.snubber.length": "4 m", "tackle.snubber.slack": "0.2 m"},
            (5000.0, 15000.0),
            0.5,
            None,
        ),  # its slack loop is used up
        ({"tackle.chain.length": "10 m", "tackle.rope.length": "40 m"}, (200.0, 900.0), 0.5, None),
        ({**BARE, "spot.slope": "6 degree", "spot.deepens_towards": "30 degree"}, (300.0, 900.0), 0.3, None),
        ({**BARE, "spot.slope": "6 degree", "spot.deepens_towards": "30 degree"}, (300.0, 800.0), 3.5, None),
    ],
)
def test_hauled_out_slowly_it_comes_to_rest_as_statics_have_it(changes, loads, bearing, friction):
    scenario = Scenario().vary({**HOLDS, **changes})
    rode = lay_out(scenario)
    slope = scenario.spot.slope_towards(bearing)
    one = rig(rode, loads[0], bearing=bearing, slope=slope, friction=friction)
    spot = {"segments": rode.segments, "rise": rode.rise, "depth": rode.depth, "slope": slope,
            "friction": rode.friction if friction is None else friction}  # fmt: skip
    near, far = (line.solve(**spot, horizontal_load=load) for load in loads)
    found = haul(one, 40.0, outwards(far.distance - near.distance, bearing, 25.0, 15.0))
    assert found.at_bow[-1] == pytest.approx(far.load_at_bow, rel=0.003)
    assert found.at_anchor[-1] == pytest.approx(far.load_at_anchor, rel=0.003)
    assert found.lift[-1] == pytest.approx(far.angle_at_anchor, abs=math.radians(0.1))


def test_a_short_snubber_leaves_its_load_to_the_chain_behind_it():
    """That the case above is one in which the chain behind it does carry."""
    changes = {"tackle.snubber.length": "4 m", "tackle.snubber.slack": "0.2 m"}
    one = rig(lay_out(Scenario().vary({**HOLDS, **changes})), 15000.0)
    last = one.whole.mesh.elements[-1]
    longer = float(np.linalg.norm(one.nodes[-1, :3] - one.nodes[-2, :3])) - last[line_mesh.LENGTH]
    assert longer > last[line_mesh.SLACK]


def test_a_slow_motion_goes_along_the_curve_of_loads_at_rest():
    """Without drag, at 0.05 m/s: inertia is then next to nothing."""
    rode = lay_out(Scenario().vary({**HOLDS, **BARE}))
    one = rig(rode, 300.0)
    one = one._replace(setting=one.setting._replace(drag=0.0))
    curve = line.curve(segments=rode.segments, rise=rode.rise, friction=rode.friction, depth=rode.depth)
    haul(one, 10.0, calm=4.0)
    found = haul(one, 20.0, outwards(0.8, 0.0, 20.0, 0.0))
    at = np.array([curve.look_up(float(distance)) for distance in found.places[:, -1, 0]])
    # nothing stops it swinging a little about its place: means of 2 s
    bow, anchor, *rest = (means_of(loads, 100) for loads in (found.at_bow, found.at_anchor, *at.T[1:3]))
    assert bow == pytest.approx(rest[0], rel=0.005)
    # while it came to rest friction took hold of a little more than it does of a chain just pulled out
    assert anchor[2:] == pytest.approx(rest[1][2:], rel=0.005)


def test_what_lies_keeps_the_tension_that_friction_holds():
    """Chain laid out straight and then eased keeps at the anchor part of what it was pulled with."""
    rode = lay_out(Scenario().vary({**HOLDS, **BARE}))
    one = rig(rode, 900.0)
    back = np.vstack([outwards(0.0, 0.0, 5.0, 0.0), outwards(-1.5, 0.0, 20.0, 15.0)])
    found = haul(one, 40.0, back)
    eased = line.solve_at_distance(
        segments=rode.segments, rise=rode.rise, depth=rode.depth, friction=rode.friction,
        distance=float(found.places[-1, -1, 0]),
    )  # fmt: skip
    assert found.at_bow[-1] == pytest.approx(eased.load_at_bow, rel=0.02)
    assert eased.load_at_anchor + 50.0 < found.at_anchor[-1] < found.at_anchor[0] + 1.0


def test_a_bridle_that_pulls_straight_shares_the_load_between_its_legs():
    scenario = Scenario().vary(
        {**HOLDS, "tackle.snubber.length": "8 m", "tackle.snubber.legs": 2, "boat.bridle_spread": "3 m"}
    )
    one = rig(lay_out(scenario), 1500.0, bearing=0.7)
    found = haul(one, 20.0, calm=1.0)
    legs = one.whole.mesh.legs
    hook = len(one.bonds) - 2 * legs
    pull = one.bonds[:, TENSION, None] * one.bonds[:, UNIT : UNIT + 3]
    port, starboard = pull[hook], pull[hook + legs]
    assert np.linalg.norm(port) == pytest.approx(np.linalg.norm(starboard), rel=1e-6)
    # the hook is in balance: sideways, along, and up with the weight that is on it
    across = np.array([-math.sin(0.7), math.cos(0.7), 0.0])
    along = np.array([math.cos(0.7), math.sin(0.7), 0.0])
    assert (port + starboard) @ across == pytest.approx(0.0, abs=1e-3)
    assert (port + starboard) @ along == pytest.approx(pull[hook - 1] @ along, rel=1e-4)
    # seen from above a leg runs straight from the hook to its strong point, 1.5 m off the middle
    ahead = (one.nodes[-1, :3] - one.nodes[hook, :3]) @ along
    assert abs(port @ across) == pytest.approx(1.5 / ahead * (port @ along), rel=1e-3)
    # she looks back along the rode, so her starboard is to port of who looks from the anchor
    assert starboard @ across < 0.0 < port @ across
    both = pull[-1] + pull[-1 - legs]
    assert found.at_bow[-1] == pytest.approx(np.linalg.norm(both), rel=0.02)
    x, y, turning = full_line_kernel.pull_boat(
        one.whole, one.setting, one.bonds, 5.0, math.cos(0.7 + math.pi), math.sin(0.7 + math.pi)
    )
    assert x == pytest.approx(math.hypot(*(both[:2])), rel=1e-3)
    assert abs(y) < 1e-3 * x
    assert abs(turning) < 1e-3 * x


@pytest.mark.parametrize("legs", [1, 2])
def test_the_pull_on_the_boat_does_the_work_of_the_pull_on_the_line(legs):
    """Σ F·v at the ends of the line is X u + Y v + N r of the boat, however she lies and moves."""
    changes = {"tackle.snubber.length": "8 m", "tackle.snubber.legs": legs, "boat.bridle_spread": "3 m"}
    one = rig(lay_out(Scenario().vary({**HOLDS, **changes})), 1500.0, bearing=0.7)
    haul(one, 1.0)
    u, v, r, heading, roller = 0.6, -0.4, 0.2, 3.1, 5.5
    one.state[2:6] = heading, u, v, r
    cosine, sine = math.cos(heading), math.sin(heading)
    none = (0.0,) * 8
    full_line_kernel.place_bow(one.whole, one.setting, one.nodes, roller, one.state, cosine, sine, none)
    lumped_line.gather(one.whole.mesh, 1.0, one.nodes, one.bonds)
    one.bonds[-1, lumped_line.LOST] = 200.0
    x, y, turning = full_line_kernel.pull_boat(one.whole, one.setting, one.bonds, roller, cosine, sine)
    power = 0.0
    for k in (-1,) if legs == 1 else (-1, -1 - one.whole.mesh.legs):
        load = one.bonds[k, TENSION] + one.bonds[k, lumped_line.LOST]
        power -= load * float(one.bonds[k, UNIT : UNIT + 3] @ one.nodes[k, TO_X : TO_X + 3])
    assert x * u + y * v + turning * r == pytest.approx(power, rel=1e-9)
    assert abs(turning) > 100.0


# --- in air: frequencies ---


def wire(length: float, count: int, weight: float, stiffness: float) -> Line:
    segment = line.Segment(length=length, weight=weight, stiffness=stiffness, weight_in_air=weight)
    return Line(line_mesh.mesh((segment,), (count,), 1), 0, math.inf)


def aloft(whole: Line, places: Floats, **changes: float) -> Rig:
    """A line between two fixed points, far above bottom and water unless changed; ``places``: (nodes, 3)."""
    nodes = full_line.blank_nodes(whole.mesh)
    nodes[:, :3] = places
    setting = Setting(1.225, 1025.0, 0.0, 0.0, 1e3, 0.0, 0.0, 0.0, float(places[-1, 2]), 0.0, 1.0)
    state = np.zeros(full_line_kernel.STATE)
    state[:2] = places[-1, :2]
    bonds = np.zeros((len(whole.mesh.elements), lumped_line.BOND))
    return Rig(whole, setting._replace(**changes), state, nodes, bonds)


def frequency(signal: Floats, about: float) -> float:
    """Hz of the strongest part within a quarter of ``about``: FFT, Hann's window, a parabola on top."""
    signal = (signal - signal.mean()) * np.hanning(len(signal))
    power = np.log(np.abs(np.fft.rfft(signal, 8 * len(signal))) + 1e-300)
    hertz = np.fft.rfftfreq(8 * len(signal), SAMPLE)
    near = np.flatnonzero(np.abs(hertz / about - 1.0) < 0.25)
    i = int(near[np.argmax(power[near])])
    assert near[0] < i < near[-1]
    a, b, c = power[i - 1 : i + 2]
    return float(hertz[i] + 0.5 * (a - c) / (a - 2.0 * b + c) * (hertz[1] - hertz[0]))


@pytest.mark.parametrize("stiffness", [3e5, 6e6])
def test_a_taut_wire_swings_at_the_frequencies_of_irvine(stiffness):
    """Irvine, Cable Structures (1981), ch. 3, from memory: small sag, level supports.

    Out of the plane ω = nπ√(H/m)/L, in it the same for even n, and for the first that is symmetric
    tan x = x − (4/λ²) x³ with x = ωL√(m/H)/2 and λ² = (wL/H)² L EA/(H L_e).
    """
    length, load, weight, count = 20.0, 2000.0, 13.0, 40
    x = np.linspace(0.0, length, count + 1)
    sag = weight * length**2 / (8.0 * load)
    places = np.column_stack([x, 0.0 * x, 100.0 - 4.0 * sag * x * (length - x) / length**2])
    arc = float(np.linalg.norm(np.diff(places, axis=0), axis=1).sum())
    one = aloft(wire(arc / (1.0 + load / stiffness), count, weight, stiffness), places)
    haul(one, 20.0, calm=2.0)
    load = float(one.bonds[count // 2, TENSION])
    longer = length * (1.0 + (weight * length / load) ** 2 / 8.0)
    stiff = (weight * length / load) ** 2 * length * stiffness / (load * longer)
    root = brentq(lambda x: math.tan(x) - x + 4.0 / stiff * x**3, 0.5 * math.pi + 1e-9, 1.5 * math.pi - 1e-9)
    taut = math.sqrt(load / (weight / GRAVITY)) / length / (2.0 * math.pi)
    one.nodes[:, TO_X + 1] += 0.01 * np.sin(math.pi * x / length)  # sideways
    one.nodes[:, TO_X + 2] += 0.01 * np.sin(math.pi * x / length) + 0.01 * np.sin(2.0 * math.pi * x / length)
    one.nodes[[0, -1], TO_X : TO_X + 3] = 0.0
    found = haul(one, 40.0).places
    middle, quarter = found[:, count // 2], found[:, count // 4] - found[:, 3 * count // 4]
    assert frequency(middle[:, 1], math.pi * taut) == pytest.approx(math.pi * taut, rel=0.005)
    assert frequency(quarter[:, 2], 2.0 * math.pi * taut) == pytest.approx(2.0 * math.pi * taut, rel=0.005)
    assert frequency(middle[:, 2], 2.0 * root * taut) == pytest.approx(2.0 * root * taut, rel=0.007)


_HANGING = 1e6  # N, so stiff that it stretches by a ten-thousandth


def _step(element: float) -> float:
    """Longest step (s) of a chain of ``hanging``: a little under 2 over its highest frequency."""
    return 0.8 * element / math.sqrt(_HANGING / (13.0 / GRAVITY))


def hanging(count: int, length: float, *, tilt: float = 0.0, **columns: float) -> tuple[Line, Floats]:
    """A chain that hangs free from the bow: its first element, to an anchor below it, is none at all."""
    whole = wire(length * (count + 1) / count, count + 1, 13.0, _HANGING)
    elements = whole.mesh.elements.copy()
    for name, value in columns.items():
        elements[:, getattr(line_mesh, name)] = value * length / count
    elements[0, [line_mesh.MASS, line_mesh.WEIGHT, line_mesh.IN_AIR, line_mesh.STIFFNESS, line_mesh.ADDED,
                 line_mesh.ACROSS, line_mesh.ALONG]] = 0.0  # fmt: skip
    down = np.linspace(length * (count + 1) / count, 0.0, count + 2)
    places = np.column_stack([down * math.sin(tilt), 0.0 * down, -down * math.cos(tilt)])
    return whole._replace(mesh=Mesh(elements, whole.mesh.laws, 0)), places


@pytest.mark.parametrize("wet", [False, True])
def test_a_hanging_chain_swings_at_the_zeros_of_bessels_function(wet):
    """ω = (z/2)√(g/L), J₀(z) = 0 (D. Bernoulli); in water g is the weight in it over mass and added mass."""
    count, length = 30, 10.0
    columns = {"ADDED": 0.6, "WEIGHT": 11.0} if wet else {}
    whole, places = hanging(count, length, **columns)
    places[:, 2] += -5.0 if wet else 100.0
    one = aloft(whole, places, drag=0.0)
    gravity = 11.0 / (13.0 / GRAVITY + 0.6) if wet else GRAVITY
    share = np.linspace(1.0, 0.0, count + 1)
    one.nodes[1:, TO_X] = 0.02 * share - 0.01 * np.sin(math.pi * share)
    one.nodes[-1, TO_X] = 0.0
    found = haul(one, 40.0, step=_step(length / count)).places[:, 1, 0]
    for zero in jn_zeros(0, 2):
        expected = 0.5 * zero * math.sqrt(gravity / length) / (2.0 * math.pi)
        assert frequency(found, expected) == pytest.approx(expected, rel=0.005)


@pytest.mark.parametrize("set_towards", [0.0, 2.2])
def test_a_chain_hangs_in_a_current_at_the_angle_where_drag_bears_its_weight(set_towards):
    """Straight, at an angle θ to the flow with w cos θ = C U² sin² θ (towed cables; from memory).

    Its tension grows by w sin θ + D U² cos² θ for each metre, D for what flows along it.
    """
    count, length, speed, across, weight, along = 20, 10.0, 0.8, 9.8, 11.0, 4.0
    fair = brentq(lambda t: weight * math.cos(t) - across * speed**2 * math.sin(t) ** 2, 0.1, 0.5 * math.pi)
    whole, places = hanging(
        count, length, tilt=0.5 * math.pi - fair, ACROSS=across, ALONG=along, WEIGHT=weight
    )
    places[:, 2] -= 5.0
    places[1:-1, 0] *= 0.5  # it has to find the angle
    flow = np.array([math.cos(set_towards), math.sin(set_towards), 0.0])
    places[:, :2] = np.outer(places[:, 0], flow[:2])
    one = aloft(whole, places, current_north=speed * flow[0], current_east=speed * flow[1])
    haul(one, 40.0, step=_step(length / count))
    unit = one.bonds[3:, UNIT : UNIT + 3]
    assert np.arctan2(unit[:, 2], -unit @ flow) == pytest.approx(fair, abs=0.003)
    metre = weight * math.sin(fair) + along * speed**2 * math.cos(fair) ** 2
    assert np.diff(one.bonds[3:, TENSION]) == pytest.approx(metre * length / count, rel=0.005)


@pytest.mark.parametrize(("share", "stable"), [(0.97, True), (1.05, False)])
def test_the_longest_step_is_that_of_the_fastest_mode(share, stable):
    """2(√(1 + ζ²) − ζ)/ω, ω = 2√(k/m) of many even springs and masses in a row (closed form)."""
    x = np.linspace(0.0, 20.0, 41)
    one = aloft(wire(19.9, 40, 0.0, 5e6), np.column_stack([x, 0.0 * x, 0.0 * x + 100.0]))
    elements = one.whole.mesh.elements.copy()
    elements[:, line_mesh.MASS] = 0.7
    one = one._replace(whole=one.whole._replace(mesh=Mesh(elements, one.whole.mesh.laws, 0)))
    one.nodes[:, lumped_line.OWN] = 0.7
    stiff = elements[0, line_mesh.STIFFNESS]
    step = 2.0 * (math.sqrt(1.04) - 0.2) / (2.0 * math.sqrt(stiff / 0.7))
    assert full_line.longest_step(one.whole) == pytest.approx(step, rel=1e-9)
    one.nodes[1:-1, TO_X] = 1e-3 * (-1.0) ** np.arange(39)
    full_line_kernel.haul(
        one.whole, one.setting, GROUND, seabed.uplift_table(), STILL, 0.0, 0.0, share * step, 1, 0, 2000,
        one.state, one.nodes, one.bonds, np.empty((4, 2000)), np.zeros((0, 41, 3)), np.zeros(3),
    )  # fmt: skip
    assert (np.abs(one.nodes[:, TO_X]).max() < 1e-3) == stable


# --- energy ---


def energy(one: Rig) -> float:
    """Of motion, of stretch and of height (J), by the mesh's figures; what is wet weighs WEIGHT."""
    mesh = one.whole.mesh
    rows, nodes = mesh.elements, one.nodes
    total = float(0.5 * np.sum(nodes[:, lumped_line.OWN, None] * nodes[:, TO_X : TO_X + 3] ** 2))
    for k, row in enumerate(rows):
        longer = float(np.linalg.norm(nodes[k + 1, :3] - nodes[k, :3])) - row[line_mesh.LENGTH]
        total += 0.5 * row[line_mesh.WEIGHT] * (nodes[k, 2] + nodes[k + 1, 2])
        if longer > 0.0 and row[line_mesh.LAW] < 0.0:
            total += 0.5 * row[line_mesh.STIFFNESS] * longer**2
        elif longer > 0.0:
            law, wide = mesh.laws[int(row[line_mesh.LAW])], row[line_mesh.STRAIN] * row[line_mesh.LENGTH]
            at = np.append(np.arange(0.0, longer, wide), longer)
            total += float(np.trapezoid(np.interp(at, wide * np.arange(len(law)), law), at))
    return total


def swung(whole: Line, height: float) -> Rig:
    """A line hung slack between two points, with a start in all directions."""
    rows = whole.mesh.elements
    share = np.linspace(0.0, 1.0, len(rows) + 1)
    length = rows[:, line_mesh.LENGTH].sum()
    places = np.column_stack(
        [0.9 * length * share, 0.0 * share, height - 0.2 * length * np.sin(math.pi * share)]
    )
    one = aloft(whole, places)
    one.nodes[1:-1, TO_X] = np.sin(2.0 * math.pi * share[1:-1])
    one.nodes[1:-1, TO_X + 1] = 2.0 * np.sin(math.pi * share[1:-1])
    one.nodes[1:-1, TO_X + 2] = np.sin(3.0 * math.pi * share[1:-1])
    return one


def test_energy_is_kept_where_nothing_takes_it():
    """A rope that loses nothing, in air: the error is the step's, does not grow, and halves with it."""
    law = line.Law(load=(0.0, 5e4), strain=(0.0, 0.1))
    segment = line.Segment(length=20.0, weight=13.0, weight_in_air=13.0, law=law)
    share = np.linspace(0.0, 1.0, 21)
    errors = []
    for steps in (0.6, 0.3, 0.15):
        places = np.column_stack([20.6 * share, 0.0 * share, 0.0 * share + 100.0])
        one = aloft(Line(line_mesh.mesh((segment,), (20,), 1), 20, math.inf), places)
        one.nodes[1:-1, TO_X + 1] = 8.0 * np.sin(math.pi * share[1:-1])
        one.nodes[1:-1, TO_X + 2] = 8.0 * np.sin(2.0 * math.pi * share[1:-1])
        before, off = energy(one), []
        moved = float(0.5 * np.sum(one.nodes[:, lumped_line.OWN, None] * one.nodes[:, TO_X : TO_X + 3] ** 2))
        for _ in range(60):
            haul(one, SAMPLE, share=steps)
            off.append(abs(energy(one) - before) / moved)
        assert max(off[30:]) < 1.5 * max(off[:30])
        errors.append(max(off))
    assert errors[2] < 0.01
    assert errors[0] > 3.0 * errors[2]


def test_energy_is_only_lost_where_water_damping_and_rope_take_it():
    scenario = Scenario().vary({**HOLDS, "tackle.snubber.length": "8 m"})
    rode = lay_out(scenario)
    whole = full_line.mesh_of(rode, 1.0, math.inf)
    elements = whole.mesh.elements.copy()
    elements[:, line_mesh.ADDED] = 0.0  # a mass that turns with the line is no plain kinetic energy
    elements[:, line_mesh.SLACK] = math.inf
    one = swung(whole._replace(mesh=whole.mesh._replace(elements=elements)), -5.0)
    kept = [energy(one)]
    for _ in range(100):
        haul(one, SAMPLE)
        kept.append(energy(one))
    assert np.all(np.diff(kept) < 1e-4 * (kept[0] - kept[-1]))
    assert kept[0] - kept[-1] > 50.0


# --- the anchor ---


def test_an_anchor_slides_at_what_it_holds_and_stays_when_the_pull_is_less():
    rode = lay_out(Scenario().vary({**HOLDS, **BARE}))
    one = rig(rode, 900.0, anchor=20.0, longest=1.0)
    ground = seabed.Ground(2000.0, 1.0, 1.0)
    time = np.arange(0.0, 30.05, 0.1)
    path = np.zeros((len(time), 6))
    path[:, 3] = 0.3 * np.minimum(time / 5.0, 1.0) * (time < 20.0)
    path[:, 0] = np.minimum(np.where(time < 5.0, 0.03 * time**2, 0.3 * (time - 2.5)), 0.3 * 17.5)
    found = haul(one, 30.0, path, ground=ground)
    anchor = found.places[:, 0, 0]
    still = found.time < found.time[np.flatnonzero(anchor > 0.0)[0]]
    assert 1500.0 < (found.at_anchor * np.cos(found.lift))[still][-2] <= 2000.0
    sliding = (found.time > 15.0) & (found.time < 20.0)
    left = np.interp(found.lift[sliding], *seabed.uplift_table().T)
    assert np.median(found.at_anchor[sliding] / left) == pytest.approx(2000.0, rel=0.03)
    assert np.polyfit(found.time[sliding], anchor[sliding], 1)[0] == pytest.approx(0.3, rel=0.05)
    assert anchor[-1] == anchor[found.time > 25.0][0]
    assert np.all(np.diff(anchor) >= 0.0)


# --- with the boat ---


@pytest.mark.parametrize("changes", [BARE, {"tackle.snubber.length": "6 m"}])
def test_finer_steps_and_meshes_change_no_peak(changes):
    sea = {"weather.wave_height": "0.5 m", "weather.wave_period": "3 s", "spot.depth": "3 m"}
    scenario = Scenario().vary({**HOLDS, **GALE, **sea, **changes})
    usual = full_line.run_full(scenario, holding_quantile=0.99)
    halved = full_line.run_full(scenario, holding_quantile=0.99, step_share=0.5 * full_line.STEP_SHARE)
    finer = full_line.run_full(scenario, holding_quantile=0.99, longest=0.5 * full_line.LONGEST)
    assert usual.greatest_bow_load > 3000.0
    for other, near in ((halved, 0.005), (finer, 0.015)):
        assert other.greatest_bow_load == pytest.approx(usual.greatest_bow_load, rel=near)
        assert other.greatest_anchor_load == pytest.approx(usual.greatest_anchor_load, rel=near)


def test_she_starts_at_rest_under_the_first_winds_push():
    scenario = Scenario().vary({**HOLDS, **GALE, "weather.gust": "30 kn"})
    run = full_line.run_full(scenario, holding_quantile=0.99)
    rode, push = run.rode, float(run.curve.look_up(math.hypot(run.track.x[0], run.track.y[0])
                                                   - hull(scenario.boat).roller)[1])  # fmt: skip
    assert rode.spread == 0.0
    assert run.track.bow_load[0] == pytest.approx(push, rel=0.02)


def test_what_was_asked_for_is_told_and_kept():
    scenario = Scenario().vary({**HOLDS, "weather.duration": "60 s"})
    told: list[float] = []
    run = full_line.run_full(scenario, longest=4.0, keep_places=True, progress=told.append)
    roller = hull(scenario.boat).roller
    assert told == sorted(told)
    assert told[-1] == 1.0
    bow = run.track.x + roller * np.cos(run.track.heading)
    assert run.places[:, -1, 0] == pytest.approx(bow, abs=1e-9)
    assert run.places[:, 0, :2] == pytest.approx(0.0, abs=1e-12)
    assert run.places[:, 0, 2] == pytest.approx(-run.rode.depth)
    assert run.greatest_bow_load >= run.track.bow_load.max() > 0.0


@pytest.mark.parametrize("legs", [1, 2])
def test_port_is_as_starboard(legs):
    """The same watch in a mirror: wind and current from the other side."""
    changes = {"tackle.snubber.length": "8 m", "tackle.snubber.legs": legs, "boat.bridle_spread": "3 m"}
    scenario = Scenario().vary({**HOLDS, **changes})
    rode = lay_out(scenario)
    body = hull(scenario.boat)
    time = np.arange(0.0, 61.0)
    tracks = []
    for side in (1.0, -1.0):
        air = np.column_stack([-12.0 - 4.0 * np.sin(0.2 * time), side * 4.0 * np.sin(0.13 * time)])
        setting = full_line.surroundings(scenario, rode)._replace(current_east=0.3 * side)
        whole = full_line.mesh_of(rode, 1.5, 200.0)
        state, nodes = full_line.lie(scenario, body, setting, rode, whole.mesh, air[0])
        bonds = np.zeros((len(whole.mesh.elements), lumped_line.BOND))
        stride = math.ceil(0.1 / (0.7 * full_line.longest_step(whole)))
        anchored = (body, whole, setting, GROUND, seabed.uplift_table(), STILL)
        moving = (state, nodes, bonds, np.zeros((0, len(nodes), 3)))
        tracks.append(full_line.sail(anchored, air, 1.0, stride, 500, moving)[0])
    one, other = tracks
    assert np.ptp(one[2]) > 3.0
    assert other[1] == pytest.approx(one[1], abs=1e-5)
    assert other[2] == pytest.approx(-one[2], abs=1e-5)
    assert other[4] == pytest.approx(one[4], rel=1e-4)


# --- the twin ---


@pytest.mark.parametrize("changes", [BARE, {"tackle.snubber.length": "5 m"}])
def test_a_snatch_is_that_of_a_plain_twin(changes):
    """Slack, then out with 2 m/s and up with 1 m/s, off to one side, and stopped."""
    rode = lay_out(Scenario().vary({**HOLDS, **changes, "spot.depth": "4 m"}))
    one = rig(rode, 300.0, longest=2.0, friction=0.0)
    haul(one, 10.0, calm=4.0)
    one.nodes[:, TO_X : TO_X + 3] = 0.0
    start = one.nodes[:, :3].copy()
    seconds, pace = 3.0, 0.01
    time = np.arange(0.0, seconds + 0.5 * pace, pace)
    size, rate = np.array([0.75, 0.5, 0.3]), math.pi / 1.6

    def moved(t: float) -> tuple[Floats, Floats]:
        part = min(t, 1.6) * rate
        return 0.5 * (1.0 - math.cos(part)) * size, 0.5 * rate * math.sin(part) * size

    path = np.array([np.concatenate(moved(float(t))) for t in time])
    found = haul(one, seconds, path, pace=pace, share=0.2)

    def top(t: float) -> tuple[Floats, Floats]:
        by, fast = moved(t)
        return start[-1] + by, fast

    twin = Twin(one.whole.mesh, rode.depth, top, lumped_line.BED)
    loads = twin.run(start, found.time)
    upper = one.whole.mesh.elements[-1]
    assert loads[:, -1].max() > 1500.0
    assert found.at_bow.max() == pytest.approx(loads[:, -1].max() + 0.4 * upper[line_mesh.IN_AIR], rel=0.01)
    assert found.at_anchor.max() == pytest.approx(loads[:, 0].max(), rel=0.01)
    apart = found.at_bow - loads[:, -1]
    assert np.abs(apart).max() < 0.02 * loads[:, -1].max()
