"""What the notebook ``how_we_know`` is made from: each comparison can fail, and its pictures lose nothing."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy.integrate import quad

from anchorsim.core.resources import folder
from anchorsim.environment import sea_state
from anchorsim.explorer import Explorer
from anchorsim.explorer.words import PROOFS, standing_cautions
from anchorsim.figures import theme, units_of
from anchorsim.figures.plain_table import plain_table
from anchorsim.figures.proofs import (
    peaks_against_table,
    quick_against_full,
    shapes_at_rest,
    spectra_against_targets,
)
from anchorsim.figures.snubbers import by_snubber_length
from anchorsim.jupyter.contents import ships_in
from anchorsim.mooring.statics import Segment
from anchorsim.scenario.scenario import Scenario
from anchorsim.scenario.weather import Weather
from anchorsim.validation import catenary, spectra, trials
from anchorsim.validation.catenary import AtRest, at_rest, by_quadrature, elastic_catenary
from anchorsim.validation.full_line_cases import Compared, agreement, read
from anchorsim.validation.trials import Peaks, Sized

CHAIN = Segment(length=50.0, weight=12.0, stiffness=5e6)


@cache
def rest() -> tuple[AtRest, ...]:
    return tuple(at_rest())


# --- rode at rest ---


def test_a_chain_that_lifts_off_has_the_closed_form_of_a_taut_one() -> None:
    """Far stiffer and pulled far harder than its weight: a straight line, by Pythagoras."""
    x, z = elastic_catenary(replace(CHAIN, stiffness=1e15), 10.0, 1e6)
    assert (x[-1], z[-1]) == pytest.approx((np.sqrt(50.0**2 - 10.0**2), 10.0), rel=1e-6)


@pytest.mark.parametrize("load", [100.0, 1000.0, 20000.0])
def test_both_second_ways_come_to_one_shape(load: float) -> None:
    (x, _), (other, z) = elastic_catenary(CHAIN, 7.0, load), by_quadrature([CHAIN], 7.0, load)
    assert other[-1] == pytest.approx(x[-1], abs=1e-3)
    assert z[-1] == pytest.approx(7.0, abs=1e-6)


def test_the_closed_form_wants_a_chain() -> None:
    with pytest.raises(ValueError, match=r"^segment: has a law\. Expected a stiffness\."):
        elastic_catenary(replace(CHAIN, stiffness=None), 7.0, 1000.0)


def test_ours_is_the_closed_form() -> None:
    assert {one.method for one in rest()} == {"closed form", "quadrature"}
    for one in rest():
        most = 1e-5 if one.method == "closed form" else 1e-3
        assert one.gap < most and abs(one.reach) < most, (one.rode, one.load, one.gap, one.reach)


def test_a_chain_two_per_cent_heavier_would_be_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    def heavier(segment: Segment, *more: float) -> catenary.Drawn:
        return elastic_catenary(replace(segment, weight=1.02 * segment.weight), *more)

    monkeypatch.setattr(catenary, "elastic_catenary", heavier)
    assert max(one.gap for one in at_rest() if one.method == "closed form") > 0.01


# --- spectra ---

WIND = Weather.model_validate({"mean_wind": "30 knot", "gust": "42 knot"})


def test_simulated_wind_has_its_spectrum_and_its_gust() -> None:
    """A band's mean scatters by 1/√(spells × frequencies in it) of itself: at most 1/√40 here."""
    (along, across), gust = spectra.wind_spectra(WIND, range(1, 41))
    for one in (along, across):
        assert one.ours == pytest.approx(one.target, rel=4 / np.sqrt(40))
        assert one.off < 0.06
        assert one.deviation[0] == pytest.approx(one.deviation[1], rel=0.04)
    assert across.deviation[1] / along.deviation[1] == pytest.approx(0.8, rel=0.06)  # IEC 61400-1 ed. 3
    assert gust == pytest.approx(42 * 1852 / 3600, rel=0.03)


def test_simulated_waves_have_jonswaps_spectrum() -> None:
    one = spectra.wave_spectrum(1.0, 4.5, range(1, 41))
    assert one.off < 0.06
    assert 4 * one.deviation[0] == pytest.approx(1.0, rel=0.04)  # Hs is four times the deviation
    held, _ = quad(lambda f: float(sea_state.spectrum(f, 1.0, 4.5)), 0.05, 2.0, limit=200)
    assert one.deviation[1] == pytest.approx(np.sqrt(held), rel=0.01)


def test_waves_of_another_period_would_be_seen() -> None:
    right, wrong = (spectra.wave_spectrum(1.0, period, range(1, 41)) for period in (4.5, 4.6))
    where = np.interp(right.frequency, wrong.frequency, wrong.target)
    assert np.median(np.abs(right.ours / where - 1.0)) > 1.5 * right.off


# --- trials ---


def test_half_the_step_moves_the_mean_peak_by_two_per_cent_at_the_most() -> None:
    for one in trials.step_halved():
        assert one.steps == pytest.approx((1 / 30, 1 / 60, 1 / 120))
        assert len(set(one.loads)) == 3, "the steps were not changed"
        assert max(map(abs, one.off)) < 0.02, (one.set_up, one.off)


def test_a_sheer_that_grows_swings_wider_in_gusts() -> None:
    found = trials.sheered()
    assert found.of("stable") < found.of("slow") < found.of("strong")
    assert np.isnan(found.of("no such"))


def test_a_snubber_takes_most_where_it_is_shallow_with_a_sea() -> None:
    """Load cells in magazine tests (2016), read: peaks cut by half and more there, by little when deep."""
    found = trials.by_snubber()
    left = {place: row[3].median / row[0].median for place, row in found.items()}
    assert left[3, "0.5 m, 3 s"] < 0.5 and left[3, "1 m, 4.5 s"] < 0.5
    assert left[12, "no sea"] == pytest.approx(1.0, abs=0.1)


def test_what_is_taken_otherwise_says_by_how_much() -> None:
    found = trials.doubted(spells=4)
    assert len({(one.what, one.change) for one in found}) == len(found) == 8
    half, double = (one.by_set_up[0] for one in found[:2])
    assert half > 0.1 and double < -0.1, "drag across bare chain takes way off the boat"


def test_boats_that_the_table_ends_before_are_left_out() -> None:
    found = trials.against_table(spells=2)
    assert {one.boat for one in found} == set(trials.BOATS) - {"catamaran-12"}
    one = next(one for one in found if one.boat == "ketch-13")
    assert one.table == pytest.approx(3200 * 4.4482216, rel=1e-6)  # ABYC H-40 Table 1, 50 ft, storm (reprint)


# --- the full line's cases ---


def made_up(quick: float, held: bool = False) -> Compared:
    case = {"rode": "bridle", "sea": "none"}
    return Compared(case, held, np.full((5, 4), 1000.0), np.full((5, 4), quick))


def test_agreement_is_of_the_share_without_sign() -> None:
    found = agreement("three", [made_up(980.0), made_up(1010.0), made_up(1060.0)])
    assert (found.count, found.median, found.worst) == pytest.approx((3, 0.02, 0.06))
    with pytest.raises(ValueError, match="no cases"):
        agreement("none", [])


def test_the_file_has_five_spells_of_every_case() -> None:
    known = read()
    assert len(known) >= 199
    assert {len(spells) for spells in known.values()} <= {5, 10}


# --- pictures ---


@pytest.mark.parametrize("dark", [False, True])
@pytest.mark.parametrize("system", ["metric", "US"])
def test_pictures_show_every_figure(dark: bool, system: str) -> None:
    look, units = theme(dark), units_of(system)  # type: ignore[arg-type]
    peak = Peaks(np.array([1000.0, 2000.0, 4000.0]), np.zeros(3))
    waves = spectra.wave_spectrum(1.0, 4.5, range(1, 3))
    sized = [Sized(boat, rode, peak, 10_000.0) for boat in ("a", "b") for rode in ("chain", "rope")]
    cases = [made_up(980.0), made_up(1060.0, held=True)]
    snubbed = {(depth, sea_): [peak] * 2 for depth in (3, 6) for sea_ in ("none", "some")}
    views = [
        shapes_at_rest(rest(), look=look, units=units),
        spectra_against_targets([waves], waves, look=look),
        peaks_against_table(sized, look=look),
        quick_against_full(cases, look=look, units=units),
        by_snubber_length((0, 8), snubbed, look=look, units=units),
    ]
    for view in views:
        json.loads(view.to_json())
        assert view.layout.paper_bgcolor == look.paper
        for name in ("xaxis", "yaxis"):
            assert "(" in view.layout[name].title.text or view.layout[name].title.text == "boat"
        assert not any(note.showarrow for note in view.layout.annotations)
        assert all(note.y == 1.01 for note in view.layout.annotations), "a label lies in a panel"
    marks = [trace for trace in views[2].data if trace.mode == "markers"]
    assert [list(trace.y) for trace in marks] == [[20.0, 20.0]] * 2
    assert list(marks[0].error_y.array) == [20.0, 20.0] and list(marks[0].error_y.arrayminus) == [10.0, 10.0]
    off = [trace for trace in views[3].data if trace.mode == "markers"][1]
    assert list(off.y) == pytest.approx([-2.0, 6.0])
    assert list(off.marker.symbol) == ["circle-open", "circle"]


def test_a_plain_table_is_text_that_nothing_runs_in() -> None:
    found = plain_table(("Rode", "Off"), [("<b>chain</b>", "1 %")])
    assert "&lt;b&gt;chain" in found._repr_html_() and "<b>" not in found._repr_html_()
    assert "1 %" in repr(found)


# --- the way there ---


def test_the_explorer_leads_to_a_notebook_that_ships_and_runs() -> None:
    notebook = folder("notebooks") / PROOFS
    assert ships_in(notebook)
    assert f'href="{PROOFS}"' in standing_cautions()
    screen = Explorer(Scenario().vary({"weather.duration": "1 min"}))
    (entries,) = (box for box in screen.children if "anchorsim-inputs" in box._dom_classes)
    assert PROOFS in entries.children[-1].value
