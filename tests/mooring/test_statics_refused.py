"""What the rode at rest refuses, and the sentence that it says."""

import math
import re
from dataclasses import replace

import pytest

from anchorsim import ArgumentError, line
from anchorsim.mooring.statics import Line, LoadElongation, Segment, solve

CHAIN = Segment(length=40.0, weight=13.6, stiffness=5.46e6)
NYLON = LoadElongation(load=(0.0, 8e3, 40e3), strain=(0.0, 0.21, 0.47))


def put(**changes):
    return lambda: solve(segments=[CHAIN, replace(CHAIN, **changes)], rise=5.0, horizontal_load=100.0)


REFUSED = [
    (
        put(length=-3.0),
        "segments[1].length: -3.0 is out of range. Expected a length above 0 m. Change segments[1].length.",
    ),
    (put(length=math.inf), "segments[1].length: inf is out of range."),
    (put(length="long"), 'segments[1].length: "long" is not a number. Expected a length above 0 m.'),
    (put(length="3"), 'segments[1].length: "3" is not a number.'),
    (
        put(weight=-1.0),
        "segments[1].weight: -1.0 is out of range. Expected a weight in water of 0 N/m or more.",
    ),
    (put(weight=math.nan), "segments[1].weight: nan is out of range."),
    (
        put(weight_in_air=13.0),
        "segments[1].weight_in_air: 13.0 is out of range. Expected at least the weight in water, 13.6 N/m.",
    ),
    (put(stiffness=0.0), "segments[1].stiffness: 0.0 is out of range. Expected a stiffness (EA) above 0 N."),
    (
        put(stiffness=None),
        "segments[1].stiffness: neither given. Expected a stiffness (EA, N) or a law. Give one.",
    ),
    (
        put(law=NYLON),
        "segments[1].stiffness: both given. Expected a stiffness (EA, N) or a law. Leave one out.",
    ),
    (
        put(stiffness=None, law="nylon"),
        'segments[1].law: "nylon" is not a LoadElongation. Expected a LoadElongation. Make one with',
    ),
    (
        put(slack=1.0),
        "segments[1].slack: incomplete. Expected slack and backup_stiffness together, behind a law; got"
        " law none, slack 1.0, backup_stiffness None. Give all three or the law alone.",
    ),
    (
        put(stiffness=None, law=NYLON, slack=-1.0, backup_stiffness=1e6),
        "segments[1].slack: -1.0 is out of range. Expected a length of chain of 0 m or more.",
    ),
    (
        put(stiffness=None, law=NYLON, slack=1.0, backup_stiffness=0.0),
        "segments[1].backup_stiffness: 0.0 is out of range. Expected a stiffness (EA) above 0 N.",
    ),
    (
        put(stiffness=None, law=LoadElongation((0, 1), (0, 1, 2))),
        "segments[1].law.load: 2 loads and 3 strains. Expected as many of each, 2 or more. Give a strain for",
    ),
    (
        put(stiffness=None, law=LoadElongation((0, 1), (0.1, 1))),
        "segments[1].law.strain: (0.1, 1.0) does not grow from 0. Expected finite values",
    ),
    (
        put(stiffness=None, law=LoadElongation((0, 2, 2), (0, 1, 2))),
        "segments[1].law.load: (0.0, 2.0, 2.0) does not grow from 0.",
    ),
    (
        put(stiffness=None, law=LoadElongation((0, 1), (0, 1), loss=1.5)),
        "segments[1].law.loss: 1.5 is out of range. Expected a share of the loading energy, 0 to 1.",
    ),
    (
        lambda: LoadElongation((0, "much"), (0, 1)),
        'load[1]: "much" is not a number. Expected one of loads in newtons. Change load[1].',
    ),
    (lambda: LoadElongation((0, 1), 0.2), "strain: 0.2 is not a list. Expected a list of strains."),
    (
        lambda: solve(segments=[], rise=5.0, horizontal_load=1.0),
        "segments: none given. Expected at least one. Add a segment.",
    ),
    (
        lambda: solve(segments=CHAIN, rise=5.0, horizontal_load=1.0),
        "is not a list. Expected a list of segments. Put it in brackets.",
    ),
    (
        lambda: solve(segments=["chain"], rise=5.0, horizontal_load=1.0),
        'segments[0]: "chain" is not a Segment. Expected a Segment. Make one with line.Segment.',
    ),
    (
        lambda: solve(segments=[CHAIN], rise=0.0, horizontal_load=1.0),
        "rise: 0.0 is out of range. Expected a height of the bow roller above 0 m. Change rise.",
    ),
    (
        lambda: solve(segments=[CHAIN], rise=41.0, horizontal_load=1.0),
        "rise: the rode of 40 m does not reach. Expected at least the rise, 41 m. Let out more.",
    ),
    (
        lambda: solve(segments=[CHAIN], rise=5.0, horizontal_load=-1.0),
        "horizontal_load: -1.0 is out of range. Expected a load of 0 N or more. Change horizontal_load.",
    ),
    (
        lambda: Line((CHAIN,), 5.0).solve_at_distance(-1.0),
        "distance: -1.0 is out of range. Expected a distance of 0 m or more.",
    ),
    (
        lambda: line.curve(segments=[CHAIN], rise=5.0, friction=-0.1),
        "friction: -0.1 is out of range. Expected a coefficient of friction, 0 or more.",
    ),
    (
        lambda: line.curve(segments=[CHAIN], rise=5.0, depth=-2.0),
        "depth: -2.0 is out of range. Expected 0 m of water or more.",
    ),
    (
        lambda: line.curve(segments=[CHAIN], rise=5.0, slope=0.13),  # asin(5 m/40 m) = 0.1253
        "slope: at 0.13 rad the bottom comes up to the surface or the bow roller within the rode."
        " Expected less than 0.1253 rad. Let out less.",
    ),
    (
        lambda: line.curve(segments=[CHAIN], rise=5.0, depth=4.0, slope=0.11),  # asin(4 m/40 m) = 0.1002
        "slope: at 0.11 rad the bottom comes up to the surface or the bow roller within the rode."
        " Expected less than 0.1002 rad. Let out less.",
    ),
    (
        lambda: line.curve(segments=[CHAIN], rise=5.0, slope=-0.8),
        "slope: -0.8 is out of range. Expected -0.75 rad or more. Change slope.",
    ),
    (lambda: line.curve(segments=[CHAIN], rise=5.0, slope=math.nan), "slope: nan is out of range."),
    (
        lambda: Line((CHAIN,), 5.0).shape(1.0, points=3),
        "points: 3 is out of range. Expected a whole number, 4 or more. Change points.",
    ),
    (
        lambda: Line((CHAIN,), 5.0).shape(-2.0),
        "horizontal_load: -2.0 is out of range. Expected a load of 0 N or more.",
    ),
    (
        lambda: Line((CHAIN,), 5.0).shapes([1.0, -2.0]),
        "horizontal_loads[1]: -2.0 is out of range. Expected a load of 0 N or more.",
    ),
    (
        lambda: line.curve(segments=[CHAIN], rise=5.0).look_up("far"),
        'distance: "far" is not a number with a unit. Expected a distance in metres. Write it like "2 m".',
    ),
    (
        lambda: line.curve(segments=[CHAIN], rise=5.0).energy(None),
        "distance: nothing is not a number. Expected a distance in metres.",
    ),
]


@pytest.mark.parametrize(("call", "sentence"), REFUSED)
def test_refuses(call, sentence):
    with pytest.raises(ArgumentError, match=re.escape(sentence)):
        call()
