"""The line in motion against the line at rest, its motion with the boat, and a plain twin."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from line_rig import (
    BARE,
    GALE,
    GROUND,
    HOLDS,
    Floats,
    haul,
    means_of,
    outwards,
    rig,
)
from line_twin import Twin

from anchorsim import line
from anchorsim.core.units import si
from anchorsim.dynamics import full_line, full_line_kernel, lumped_line, simulation
from anchorsim.dynamics.lumped_line import TENSION, TO_X, UNIT
from anchorsim.dynamics.wave_kernel import STILL
from anchorsim.mooring import line_mesh
from anchorsim.mooring.rode import Rode, assemble
from anchorsim.scenario import site
from anchorsim.scenario.scenario import Scenario
from anchorsim.scenario.vessel import hull

# --- at rest ---


def as_hung(rode: Rode) -> tuple[line.Segment, ...]:
    """The rode's segments with half of what a snubber carries in its loop of chain hung from the hook."""
    last = rode.segments[-1]
    if last.slack is None:
        return rode.segments
    short, half = 1e-5, 0.5 * last.length
    hung = line.Segment(
        length=short, weight=half * last.weight / short, weight_in_air=half * last.weight_in_air / short,
        stiffness=1e9,
    )  # fmt: skip
    return (*rode.segments[:-1], hung, replace(last, weight=0.0, weight_in_air=0.0))


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
    rode = assemble(scenario)
    slope = scenario.spot.slope_towards(bearing)
    one = rig(rode, loads[0], bearing=bearing, slope=slope, friction=friction)
    there = replace(rode, slope=slope, friction=rode.friction if friction is None else friction)
    far = replace(there, segments=as_hung(rode)).solve(loads[1]).si
    near = there.solve(loads[0]).si  # where it is laid
    found = haul(one, 40.0, outwards(far.distance - near.distance, bearing, 25.0, 15.0))
    last = rode.segments[-1]
    roller = 0.0 if last.slack is None else 0.5 * last.length * last.weight_in_air
    at_bow = math.hypot(far.horizontal_load, far.vertical_load_at_bow + roller)
    assert found.at_bow[-1] == pytest.approx(at_bow, rel=0.003)
    assert found.at_anchor[-1] == pytest.approx(far.load_at_anchor, rel=0.003)
    assert found.uplift[-1] == pytest.approx(far.angle_at_anchor, abs=math.radians(0.1))


def test_a_short_snubber_leaves_its_load_to_the_chain_behind_it():
    """That the case above is one in which the chain behind it does carry."""
    changes = {"tackle.snubber.length": "4 m", "tackle.snubber.slack": "0.2 m"}
    one = rig(assemble(Scenario().vary({**HOLDS, **changes})), 15000.0)
    last = one.whole.mesh.elements[-1]
    longer = float(np.linalg.norm(one.nodes[-1, :3] - one.nodes[-2, :3])) - last[line_mesh.LENGTH]
    assert longer > last[line_mesh.SLACK]


def test_a_slow_motion_goes_along_the_curve_of_loads_at_rest():
    """Without drag, at 0.05 m/s: inertia is then next to nothing."""
    rode = assemble(Scenario().vary({**HOLDS, **BARE}))
    one = rig(rode, 300.0)
    one = one._replace(setting=one.setting._replace(drag=0.0))
    curve = rode.curve().si
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
    rode = assemble(Scenario().vary({**HOLDS, **BARE}))
    one = rig(rode, 900.0)
    back = np.vstack([outwards(0.0, 0.0, 5.0, 0.0), outwards(-1.5, 0.0, 20.0, 15.0)])
    found = haul(one, 40.0, back)
    eased = rode.solve_at_distance(float(found.places[-1, -1, 0])).si
    assert found.at_bow[-1] == pytest.approx(eased.load_at_bow, rel=0.02)
    assert eased.load_at_anchor + 50.0 < found.at_anchor[-1] < found.at_anchor[0] + 1.0


def test_a_bridle_that_pulls_straight_shares_the_load_between_its_legs():
    scenario = Scenario().vary(
        {**HOLDS, "tackle.snubber.length": "8 m", "tackle.snubber.legs": 2, "boat.bridle_spread": "3 m"}
    )
    one = rig(assemble(scenario), 1500.0, bearing=0.7)
    found = haul(one, 20.0, calm=1.0)
    hook = len(one.bonds) - 2
    pull = one.bonds[:, TENSION, None] * one.bonds[:, UNIT : UNIT + 3]
    port, starboard = pull[hook], pull[hook + 1]
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
    both = pull[-1] + pull[-2]
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
    one = rig(assemble(Scenario().vary({**HOLDS, **changes})), 1500.0, bearing=0.7)
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
    for k in (-1,) if legs == 1 else (-1, -2):
        load = one.bonds[k, TENSION] + one.bonds[k, lumped_line.LOST]
        power -= load * float(one.bonds[k, UNIT : UNIT + 3] @ one.nodes[k, TO_X : TO_X + 3])
    assert x * u + y * v + turning * r == pytest.approx(power, rel=1e-9)
    assert abs(turning) > 100.0


# --- the anchor ---


def test_an_anchor_slides_at_what_it_holds_and_stays_when_the_pull_is_less():
    rode = assemble(Scenario().vary({**HOLDS, **BARE}))
    one = rig(rode, 900.0, anchor=20.0, longest=1.0)
    ground = site.Ground(2000.0, 1.0, 1.0, 1.0)
    time = np.arange(0.0, 30.05, 0.1)
    path = np.zeros((len(time), 6))
    path[:, 3] = 0.3 * np.minimum(time / 5.0, 1.0) * (time < 20.0)
    path[:, 0] = np.minimum(np.where(time < 5.0, 0.03 * time**2, 0.3 * (time - 2.5)), 0.3 * 17.5)
    found = haul(one, 30.0, path, ground=ground)
    anchor = found.places[:, 0, 0]
    still = found.time < found.time[np.flatnonzero(anchor > 0.0)[0]]
    assert 1500.0 < (found.at_anchor * np.cos(found.uplift))[still][-2] <= 2000.0
    sliding = (found.time > 15.0) & (found.time < 20.0)
    left = np.interp(found.uplift[sliding], *site.uplift_table().T)
    assert np.median(found.at_anchor[sliding] / left) == pytest.approx(2000.0, rel=0.03)
    assert np.polyfit(found.time[sliding], anchor[sliding], 1)[0] == pytest.approx(0.3, rel=0.05)
    assert anchor[-1] == anchor[found.time > 25.0][0]
    assert np.all(np.diff(anchor) >= 0.0)


# --- with the boat ---


def sailed(scenario: Scenario, **more) -> tuple[Floats, Floats, Floats]:
    """Samples, peaks and places of a spell with the full line, the anchor's hold far out in its scatter."""
    w = simulation.prepare(scenario, rode := assemble(scenario), holding_quantile=0.99)
    samples, anchor = round(10 * si(scenario.weather.duration)) + 1, si(scenario.tackle.anchor.mass)
    return full_line.sail_through(
        w.body, w.setting, w.ground, w.sea, w.wind, w.pace, rode, anchor, samples, **more
    )


@pytest.mark.parametrize("changes", [BARE, {"tackle.snubber.length": "6 m"}])
def test_finer_steps_and_meshes_change_no_peak(changes):
    sea = {"weather.wave_height": "0.5 m", "weather.wave_period": "3 s", "spot.depth": "3 m"}
    scenario = Scenario().vary({**HOLDS, **GALE, **sea, **changes})
    usual = sailed(scenario)[1]
    halved = sailed(scenario, step_share=0.5 * full_line.STEP_SHARE)[1]
    finer = sailed(scenario, longest=0.5 * full_line.LONGEST)[1]
    assert usual[0] > 3000.0
    for other, near in ((halved, 0.005), (finer, 0.015)):
        assert other[:2] == pytest.approx(usual[:2], rel=near)


def test_she_starts_at_rest_under_the_first_winds_push():
    scenario = Scenario().vary({**HOLDS, **GALE, "weather.gust": "30 kn"})
    run = simulation.simulate(scenario, holding_quantile=0.99, line="full")
    rode, push = run.rode, float(run.curve.si.look_up(math.hypot(run.si.x[0], run.si.y[0])
                                                   - hull(scenario.boat).roller)[1])  # fmt: skip
    assert rode.spread == 0.0
    assert run.si.bow_load[0] == pytest.approx(push, rel=0.02)


def test_what_was_asked_for_is_told_and_kept():
    scenario = Scenario().vary({**HOLDS, "weather.duration": "60 s"})
    told: list[float] = []
    track, peaks, places = sailed(scenario, longest=4.0, keep_places=True, progress=told.append)
    roller = hull(scenario.boat).roller
    assert told == sorted(told)
    assert told[-1] == 1.0
    bow = track[1] + roller * np.cos(track[3])
    assert places[:, -1, 0] == pytest.approx(bow, abs=1e-9)
    assert places[:, 0, :2] == pytest.approx(0.0, abs=1e-12)
    assert places[:, 0, 2] == pytest.approx(-scenario.water_depth)
    assert peaks[0] >= track[4].max() > 0.0


def test_it_is_one_of_two_lines_to_be_had():
    """The same boat, wind and anchor; ten seconds after the start loads lie within a few per cent."""
    scenario = Scenario().vary({**HOLDS, **GALE})
    runs = {
        kind: simulation.simulate(scenario, holding_quantile=0.99, line=kind) for kind in simulation.LINES
    }
    loads = [run.si.bow_load[100:].max() for run in runs.values()]
    assert loads[0] == pytest.approx(loads[1], rel=0.05)
    assert loads[0] != loads[1]
    with pytest.raises(ValueError, match=r'^line: "fine" is not known\. Expected one of coarse, full\.'):
        simulation.simulate(scenario, line="fine")


@pytest.mark.parametrize("legs", [1, 2])
def test_port_is_as_starboard(legs):
    """The same spell in a mirror: wind and current from the other side."""
    changes = {"tackle.snubber.length": "8 m", "tackle.snubber.legs": legs, "boat.bridle_spread": "3 m"}
    scenario = Scenario().vary({**HOLDS, **changes})
    rode = assemble(scenario)
    body = hull(scenario.boat)
    time = np.arange(0.0, 61.0)
    tracks = []
    for side in (1.0, -1.0):
        air = np.column_stack([-12.0 - 4.0 * np.sin(0.2 * time), side * 4.0 * np.sin(0.13 * time)])
        setting = simulation.setting_of(scenario, rode)._replace(current_east=0.3 * side)
        whole = full_line.mesh_of(rode, 1.5, 200.0)
        state, nodes = full_line.equilibrium(body, setting, rode, whole.mesh, air[0])
        bonds = np.zeros((len(whole.mesh.elements), lumped_line.BOND))
        stride = math.ceil(0.1 / (0.7 * full_line.longest_step(whole)))
        anchored = (body, whole, setting, GROUND, site.uplift_table(), STILL)
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
    rode = assemble(Scenario().vary({**HOLDS, **changes, "spot.depth": "4 m"}))
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
    hardest = int(np.argmax(found.at_bow))
    way = found.places[hardest, -1] - found.places[hardest, -2]
    hangs = np.array([0.0, 0.0, 0.5 * upper[line_mesh.IN_AIR]])  # what of it weighs at the roller
    felt = np.linalg.norm(loads[:, -1].max() * way / np.linalg.norm(way) + hangs)
    assert found.at_bow.max() == pytest.approx(felt, rel=0.01)
    assert found.at_anchor.max() == pytest.approx(loads[:, 0].max(), rel=0.01)
    apart = found.at_bow - loads[:, -1]
    assert np.abs(apart).max() < 0.02 * loads[:, -1].max()
