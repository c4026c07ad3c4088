"""What the rode at rest refuses, and the sentence that it says."""

import math
from dataclasses import replace

import pytest

from anchorsim import line
from anchorsim.mooring.statics import Line, LoadElongation, Segment, solve

CHAIN = Segment(length=40.0, weight=13.6, stiffness=5.46e6)
NYLON = LoadElongation(load=(0.0, 8e3, 40e3), strain=(0.0, 0.21, 0.47))


def put(**changes):
    return lambda: solve(segments=[CHAIN, replace(CHAIN, **changes)], rise=5.0, horizontal_load=100.0)


REFUSED = [
    (put(length=-3.0), r"segments\[1\]\.length: a length in metres, above 0, is needed, -3\.0 was given"),
    (put(length=math.inf), r"segments\[1\]\.length: .* inf was given"),
    (put(length="long"), r"segments\[1\]\.length: .* 'long' was given"),
    (put(weight=-1.0), r"segments\[1\]\.weight: a weight in water .*, 0 or more, is needed, -1\.0 was given"),
    (put(weight=math.nan), r"segments\[1\]\.weight: .* nan was given"),
    (
        put(weight_in_air=13.0),
        r"segments\[1\]\.weight_in_air: .* at least the weight in water \(13\.6\), is",
    ),
    (
        put(stiffness=0.0),
        r"segments\[1\]\.stiffness: a stiffness .*, above 0, is needed, 0\.0 was",
    ),
    (
        put(stiffness=None),
        r"segments\[1\]\.stiffness: a stiffness .* or else a law is needed, neither was given",
    ),
    (put(law=NYLON), r"segments\[1\]\.stiffness: a stiffness .* or else a law is needed, both was given"),
    (
        put(slack=1.0),
        r"segments\[1\]\.slack: law, slack and backup_stiffness together are needed, given: law no",
    ),
    (
        put(stiffness=None, law=NYLON, slack=-1.0, backup_stiffness=1e6),
        r"segments\[1\]\.slack: a length of chain in metres, 0 or more, is needed, -1\.0 was given",
    ),
    (
        put(stiffness=None, law=NYLON, slack=1.0, backup_stiffness=0.0),
        r"segments\[1\]\.backup_stiffness: .* 0\.0 was",
    ),
    (
        put(stiffness=None, law=LoadElongation((0, 1), (0, 1, 2))),
        r"segments\[1\]\.law\.load: as many .* 2 and 3 were given",
    ),
    (
        put(stiffness=None, law=LoadElongation((0, 1), (0.1, 1))),
        r"segments\[1\]\.law\.strain: finite values that begin at 0",
    ),
    (
        put(stiffness=None, law=LoadElongation((0, 2, 2), (0, 1, 2))),
        r"segments\[1\]\.law\.load: .* begin at 0 and grow",
    ),
    (
        put(stiffness=None, law=LoadElongation((0, 1), (0, 1), loss=1.5)),
        r"segments\[1\]\.law\.loss: .* 1\.5 was given",
    ),
    (lambda: solve(segments=[], rise=5.0, horizontal_load=1.0), r"segments: at least one.* none was given"),
    (
        lambda: solve(segments=[CHAIN], rise=0.0, horizontal_load=1.0),
        r"rise: a height .* above 0, is needed, 0\.0",
    ),
    (
        lambda: solve(segments=[CHAIN], rise=41.0, horizontal_load=1.0),
        r"rise: a rode at least as long as the bow roller is high above the bottom, 41 m, is needed,"
        r" segments of 40 m in all were given; pay out more",
    ),
    (
        lambda: solve(segments=[CHAIN], rise=5.0, horizontal_load=-1.0),
        r"horizontal_load: a load .* -1\.0 was given",
    ),
    (lambda: Line((CHAIN,), 5.0).solve_at_distance(-1.0), r"distance: .* -1\.0 was given"),
    (
        lambda: line.curve(segments=[CHAIN], rise=5.0, friction=-0.1),
        r"friction: a coefficient .* -0\.1 was given",
    ),
    (
        lambda: line.curve(segments=[CHAIN], rise=5.0, depth=-2.0),
        r"depth: a depth of water .* -2\.0 was given",
    ),
    (
        lambda: line.curve(segments=[CHAIN], rise=5.0, slope=0.13),  # asin(5 m/40 m) = 0.1253
        r"slope: a bottom that comes up neither to the surface nor to the bow roller all along the rode,"
        r" rising by less than 0\.1253 radians, is needed, 0\.13 was given; pay out less",
    ),
    (
        lambda: line.curve(segments=[CHAIN], rise=5.0, depth=4.0, slope=0.11),  # asin(4 m/40 m) = 0.1002
        r"slope: .* rising by less than 0\.1002 radians, is needed, 0\.11 was given; pay out less",
    ),
    (
        lambda: line.curve(segments=[CHAIN], rise=5.0, slope=-0.8),
        r"slope: a slope of the bottom of -0\.75 radians or more is needed, -0\.8 was given",
    ),
    (lambda: line.curve(segments=[CHAIN], rise=5.0, slope=math.nan), r"slope: a slope .* nan was given"),
    (
        lambda: Line((CHAIN,), 5.0).shape(1.0, points=3),
        r"points: at least 4, four to a segment, is needed, 3 was given",
    ),
    (
        lambda: Line((CHAIN,), 5.0).shapes([1.0, -2.0]),
        r"horizontal_loads\[1\]: a load in newtons, 0 or more, is needed, -2\.0 was given",
    ),
]


@pytest.mark.parametrize(("call", "sentence"), REFUSED)
def test_refuses(call, sentence):
    with pytest.raises(ValueError, match=sentence):
        call()
