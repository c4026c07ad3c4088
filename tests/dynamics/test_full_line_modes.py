"""The line in motion against closed forms: frequencies, towed cables, the stable step, energy."""

from __future__ import annotations

import math

import numpy as np
import pytest
from line_rig import (
    GROUND,
    HOLDS,
    SAMPLE,
    Floats,
    Rig,
    aloft,
    haul,
    wire,
)
from scipy.optimize import brentq
from scipy.special import jn_zeros

from anchorsim import line
from anchorsim.core.units import GRAVITY
from anchorsim.dynamics import full_line, full_line_kernel, lumped_line
from anchorsim.dynamics.lumped_line import TENSION, TO_X, UNIT, Line
from anchorsim.dynamics.wave_kernel import STILL
from anchorsim.mooring import line_mesh
from anchorsim.mooring.line_mesh import Mesh
from anchorsim.mooring.rode import assemble
from anchorsim.scenario import site
from anchorsim.scenario.scenario import Scenario

# --- in air: frequencies ---


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
        one.whole, one.setting, GROUND, site.uplift_table(), STILL, 0.0, 0.0, share * step, 1, 0, 2000,
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
    law = line.LoadElongation(load=(0.0, 5e4), strain=(0.0, 0.1))
    segment = line.Segment(length=20.0, weight=13.0, weight_in_air=13.0, law=law)
    share = np.linspace(0.0, 1.0, 21)
    errors = []
    for steps in (0.6, 0.3, 0.15):
        places = np.column_stack([20.6 * share, 0.0 * share, 0.0 * share + 100.0])
        one = aloft(Line(line_mesh.mesh((segment,), (20,), False), 20, math.inf), places)
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
    rode = assemble(scenario)
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
