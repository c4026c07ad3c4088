"""The rode as it is laid out: how much of what, from anchor to bow."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from anchorsim.core.tables import pick
from anchorsim.core.units import si
from anchorsim.mooring.rode import assemble
from anchorsim.scenario.scenario import Scenario

STOCK = Scenario().vary(
    {"spot.depth": "8.6 m", "tackle.scope": 5}
)  # 8.6 m and 1.4 m of bow: 10 m to the roller


def laid(**changes: Any) -> Scenario:
    return STOCK.vary({name.replace("__", "."): value for name, value in changes.items()})


def test_chain_with_a_snubber() -> None:
    rode = assemble(laid(tackle__snubber__length="8 m"))
    assert (rode.chain, rode.rope, rode.snubber) == pytest.approx((42.0, 0.0, 8.0))
    assert [segment.length for segment in rode.segments] == pytest.approx([42.0, 8.0])
    assert (rode.rise, rode.depth, rode.friction) == pytest.approx((10.0, 8.6, 0.74))
    assert rode.spread == 0.0


def test_chain_then_rope() -> None:
    """The snubber stays in the locker: it hooks on to chain."""
    rode = assemble(laid(tackle__chain__length="15 m", tackle__rope__length="60 m"))
    assert (rode.chain, rode.rope, rode.snubber) == pytest.approx((15.0, 35.0, 0.0))
    chain, rope = rode.segments
    assert chain.stiffness and rope.law


def test_rope_alone() -> None:
    rode = assemble(laid(tackle__chain__length="0 m", tackle__rope__length="60 m"))
    assert len(rode.segments) == 1
    assert rode.segments[0].length == pytest.approx(50.0)


def test_rope_that_is_not_needed_stays_aboard() -> None:
    rode = assemble(laid(tackle__chain__length="50 m", tackle__rope__length="60 m"))
    assert (rode.chain + rode.snubber, rode.rope) == pytest.approx((50.0, 0.0))


@settings(deadline=None)
@given(
    scope=st.floats(1.2, 30),
    depth=st.floats(2.1, 40),
    chain=st.floats(0, 200),
    rope=st.floats(0, 200),
    snubber=st.floats(0, 30),
    legs=st.sampled_from([1, 2]),
)
def test_the_pieces_make_up_what_is_paid_out(
    scope: float, depth: float, chain: float, rope: float, snubber: float, legs: int
) -> None:
    if chain + rope < 1.2 * (depth + 1.4) * 1.001:
        rope += 1.2 * (depth + 1.4) * 1.001
    if rope > 200:
        return
    scenario = laid(
        tackle__scope=scope, spot__depth=f"{depth} m", tackle__chain__length=f"{chain} m",
        tackle__rope__length=f"{rope} m", tackle__snubber__length=f"{snubber} m", tackle__snubber__legs=legs,
    )  # fmt: skip
    rode = assemble(scenario)
    assert sum(segment.length for segment in rode.segments) == pytest.approx(scenario.paid_out, abs=1e-8)
    assert all(segment.length > 0 for segment in rode.segments)
    assert scenario.paid_out <= scenario.rode_aboard
    assert scenario.paid_out == pytest.approx(min(scope * scenario.height, scenario.rode_aboard))
    assert 0 <= rode.snubber <= snubber + 1e-9
    assert rode.snubber == 0 or (rode.rope < 1e-9 and rode.chain >= 0.5 - 1e-9)
    assert rode.chain + rode.snubber <= chain + 1e-8


def test_weights_are_those_of_the_tables() -> None:
    chain, snubber = assemble(laid(tackle__snubber__length="8 m", tackle__snubber__slack="2 m")).segments
    in_water = 1.40 * 9.80665 * 0.8694  # ISO 4565: 8 mm 1.40 kg/m; 1 − 1025/7850 = 0.8694; CGPM 1901
    assert chain.weight == pytest.approx(in_water, rel=1e-4)
    nylon = (
        pick("rope", construction="three-strand nylon", size="14 mm")["mass"] * 9.80665 * (1 - 1025 / 1140)
    )
    assert snubber.weight == pytest.approx(
        nylon + in_water * 10 / 8, rel=1e-4
    )  # 10 m of loop under 8 m of nylon


def test_the_law_of_the_rope_is_that_of_wet_nylon() -> None:
    rode = assemble(
        laid(tackle__chain__length="0 m", tackle__rope__length="60 m", tackle__rope__diameter="14 mm")
    )
    law = rode.segments[0].law
    assert law is not None
    assert law.load[-1] == pytest.approx(
        0.85 * 40200.0
    )  # ISO 1140: 40.2 kN, from memory; UFC 4-159-03: wet −15 %
    assert law.strain[-1] == pytest.approx(
        0.47 * 2 / 3, rel=1e-4
    )  # 47 % new, two thirds worked in, from memory


def test_a_bridle_is_two_legs_side_by_side() -> None:
    one, two = (assemble(laid(boat__model="catamaran-12", tackle__snubber__legs=legs)) for legs in (1, 2))
    snubber, bridle = one.segments[-1], two.segments[-1]
    assert snubber.law is not None and bridle.law is not None
    assert bridle.law.load == pytest.approx([2 * load for load in snubber.law.load])
    assert bridle.law.strain == snubber.law.strain
    assert (one.spread, two.spread) == pytest.approx((0.0, 5.3))
    assert bridle.weight > snubber.weight


def test_chain_behind_a_snubber_backs_it_up() -> None:
    scenario = laid(tackle__snubber__slack="1.5 m")
    snubber = assemble(scenario).segments[-1]
    assert snubber.slack == pytest.approx(1.5)
    assert snubber.backup_stiffness == pytest.approx(scenario.tackle.chain.stiffness())


def test_the_bow_roller_is_what_scope_is_measured_by() -> None:
    scenario = laid(spot__tide="1 m", tackle__scope=4)
    assert scenario.paid_out == pytest.approx(4 * (8.6 + 1.0 + si(scenario.boat.bow_height)))


def test_a_snubber_too_short_to_tie_is_none() -> None:
    scenario = laid(tackle__snubber__length="0.2 m")
    assert assemble(scenario).snubber == 0.0
