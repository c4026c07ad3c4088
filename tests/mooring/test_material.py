"""Material laws as the statics take them: SciPy's monotone cubic, and rope and chain side by side."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.interpolate import PchipInterpolator

from anchorsim.mooring import line_kernel, material
from anchorsim.mooring.material import LoadElongation, Segment, law_nodes, load_at, pack, pair_nodes, tensions

LAW = LoadElongation(load=(0.0, 2e3, 6e3, 2e4), strain=(0.0, 0.12, 0.22, 0.35), loss=0.3)


@pytest.mark.parametrize(
    ("load", "strain"),
    [(LAW.load, LAW.strain), ((0.0, 1.0, 5.0, 6.0), (0.0, 3.0, 3.1, 9.0)), ((0.0, 5.0), (0.0, 0.2)),
     ((0.0, 1.0, 11.0), (0.0, 0.1, 5.0)), ((0.0, 10.0, 11.0), (0.0, 5.0, 5.1))],
)  # fmt: skip
def test_a_law_is_the_monotone_cubic_of_fritsch_and_butland(
    load: tuple[float, ...], strain: tuple[float, ...]
) -> None:
    nodes = law_nodes("law", LoadElongation(load=load, strain=strain))
    spline = PchipInterpolator(load, strain)
    slopes = [float(spline(at, 1)) for at in load]
    if slopes[-1] < 1e-15:  # where SciPy's ends level, ours goes on with its last secant: rope never locks
        slopes[-1] = (strain[-1] - strain[-2]) / (load[-1] - load[-2])
    assert [node[:2] for node in nodes] == list(zip(load, strain, strict=True))
    assert [node[2] for node in nodes] == pytest.approx(slopes)
    assert [node[3] for node in nodes] == pytest.approx([*slopes[1:], slopes[-1]])


@pytest.mark.parametrize("strain", [0.0, 0.05, 0.12, 0.2, 0.3499, 0.35, 0.5])
def test_the_load_at_a_strain_is_the_inverse(strain: float) -> None:
    laws = np.array(law_nodes("law", LAW))
    load = load_at(laws, strain)
    assert line_kernel.strain_at.py_func(laws, 0, 3, load)[0] == pytest.approx(strain, abs=1e-12)


def test_loads_evenly_by_strain() -> None:
    loads, step = tensions(LAW, 36)
    assert len(loads) == 36 and step == pytest.approx(0.01)
    assert (loads[0], loads[12], loads[22], loads[35]) == pytest.approx((0.0, 2e3, 6e3, 2e4))


@pytest.mark.parametrize("slack", [0.0, 0.05, 0.15, 0.25])
def test_rope_and_chain_add_their_loads_at_one_strain(slack: float) -> None:
    """Node by node, with the slopes of both; up to the slack the rope alone, and on to its last node."""
    backup, rope = 4e4, np.array(law_nodes("law", LAW))
    nodes, take_up = pair_nodes(law_nodes("law", LAW), slack, backup)
    assert take_up == pytest.approx(load_at(rope, slack))
    strains = np.array([node[1] for node in nodes])
    assert strains[-1] == pytest.approx(0.35) and (np.diff(strains) > 0.0).all()
    assert np.isclose(strains, slack, atol=1e-12).any()
    for load, strain, slope, _ in nodes:
        alone = load_at(rope, strain)
        assert load == pytest.approx(alone + backup * max(strain - slack, 0.0), abs=1e-6)
        own = line_kernel.strain_at.py_func(rope, 0, 3, alone)[1]
        assert slope == pytest.approx(own if strain < slack - 1e-12 else own / (1.0 + backup * own), rel=1e-6)
    assert [node[3] for node in nodes[:-1]] == pytest.approx(
        [
            here[2]
            if not math.isclose(here[1], slack)
            else line_kernel.strain_at.py_func(rope, 0, 3, take_up)[1]
            for here in nodes[1:]
        ],
        rel=1e-6,
    )
    between = int(np.count_nonzero((strains > slack + 1e-12) & (strains < 0.35 - 1e-12)))
    whole = sum(slack < at < 0.35 - 1e-12 for at in LAW.strain)
    assert between == (whole + 1) * material.PIECES - 1, "so many pieces up to each of the rope's own nodes"


def test_the_kernel_s_rows() -> None:
    """Chain has no law and loses nothing; a snubber's chain is as long as it and its slack."""
    chain = Segment(length=25.0, weight=13.6, stiffness=4e5)
    rope = Segment(length=8.0, weight=2.0, weight_in_air=3.0, law=LAW, slack=0.8, backup_stiffness=2e5)
    rode, laws = pack((chain, rope, chain))
    assert rode[0].tolist() == [25.0, 13.6, 13.6, 1 / 4e5, -1.0, -1.0, 0.0, 0.0, math.inf, 25.0]
    taken = load_at(np.array(law_nodes("law", LAW)), 0.1)
    assert rode[1] == pytest.approx(
        [8.0, 2.0, 3.0, 0.0, 0.0, len(laws) - 1, 0.3, 2e5 * 8.0 / 8.8, taken, 33.0]
    )
    assert rode[2, line_kernel.JOINT] == 58.0
    assert pack((chain,))[1].tolist() == [[0.0] * 4], "a row for the kernel, that nothing reads"
