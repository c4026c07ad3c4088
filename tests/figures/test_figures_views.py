"""The views put the right numbers in the right place, in words and units that people read."""

from __future__ import annotations

import dataclasses
import itertools
import math

import numpy as np
import plotly.graph_objects as go
import pytest
from invented_scene import invented_scene

from anchorsim.figures import (
    CONFIG,
    VIEWS,
    Area,
    Scene,
    from_above,
    from_the_side,
    load_against_time,
    theme,
    units_of,
    utilisation,
)
from anchorsim.numerics.interval import Interval

FOOT = 0.3048  # m, international yard and pound agreement of 1959, exact
POUND_FORCE = 4.4482216152605  # N, from the pound of 1959 and standard gravity, exact
US = units_of("US")


@pytest.fixture(scope="module")
def scene() -> Scene:
    return invented_scene(duration=120.0)


@pytest.fixture(scope="module")
def before() -> Scene:
    return invented_scene(length=26.0, name="before", duration=120.0)


def trace(view: go.Figure, name: str) -> go.Scatter:
    return next(found for found in view.data if found.name == name)


def words(view: go.Figure) -> list[str]:
    return [note.text for note in view.layout.annotations if note.text]


def test_north_is_up_and_east_to_the_right(scene: Scene) -> None:
    view = from_above(scene)
    north, east = scene.bow()
    np.testing.assert_allclose(trace(view, "track of the bow").x, east)
    np.testing.assert_allclose(trace(view, "track of the bow").y, north)
    assert view.layout.xaxis.range[0] < view.layout.xaxis.range[1]
    assert view.layout.yaxis.range[0] < view.layout.yaxis.range[1]
    # The invented wind blows from the south-west, so she must lie up and to the right of the anchor at 0, 0.
    assert np.mean(trace(view, "track of the bow").x) > 10
    assert np.mean(trace(view, "track of the bow").y) > 10


@pytest.mark.parametrize("draw", [from_above, from_the_side])
def test_both_axes_have_one_scale(draw: object, scene: Scene) -> None:
    view = draw(scene)  # type: ignore[operator]
    assert (view.layout.yaxis.scaleanchor, view.layout.yaxis.scaleratio) == ("x", 1)


def wind_arrow(scene: Scene, degrees: float) -> tuple[np.ndarray, go.layout.Shape]:
    """Corners (n, 2) of the arrow in pixels right and up of its corner of the plot, and the shape itself."""
    direction = np.full(scene.track.time.size, math.radians(degrees))
    track = dataclasses.replace(scene.track, wind_direction=direction)  # type: ignore[type-var]
    (shape,) = from_above(dataclasses.replace(scene, track=track)).layout.shapes
    return np.array([point.split(",") for point in shape.path.strip("MZ").split("L")], dtype=float), shape


@pytest.mark.parametrize("degrees", [0, 45, 90, 200, 225, 315])
def test_the_wind_arrow_points_where_the_wind_blows_to(scene: Scene, degrees: float) -> None:
    corners, _ = wind_arrow(scene, degrees)
    tip, tail = corners[3], (corners[0] + corners[-1]) / 2
    toward = math.radians(degrees + 180)  # a compass direction: east is its sine, north its cosine
    np.testing.assert_allclose(tip - tail, 52 * np.array([math.sin(toward), math.cos(toward)]), atol=0.02)


@pytest.mark.parametrize(
    ("north", "east", "right"), [(50, 50, False), (-50, 50, True), (-50, -50, False), (50, -50, True)]
)
def test_the_wind_arrow_keeps_clear_of_her_and_her_anchor(
    scene: Scene, north: float, east: float, right: bool
) -> None:
    """A room to one side of the anchor at (0, 0): the arrow goes to the other side of whatever is on top."""
    arc = np.linspace(0.8, 1.0, 20)
    room = Area("room", np.array([*(north * arc), *np.zeros(20)]), np.array([*(east * arc), *np.zeros(20)]))
    corners, shape = wind_arrow(dataclasses.replace(scene, room=room, dangers=()), 0.0)
    middle = (corners[3] + (corners[0] + corners[-1]) / 2) / 2
    np.testing.assert_allclose(middle, [-46 if right else 46, -46], atol=0.02)
    assert (shape.xanchor, shape.yanchor) == (int(right), 1)


@pytest.mark.parametrize(
    ("degrees", "name"), [(0, "north"), (91, "east"), (359, "north"), (180, "south"), (300, "north-west")]
)
def test_the_mean_wind_is_named_across_north(scene: Scene, degrees: float, name: str) -> None:
    swing = 0.3 * np.sin(np.linspace(0, 20 * np.pi, scene.track.time.size))
    direction = (math.radians(degrees) + swing) % (2 * math.pi)
    track = dataclasses.replace(scene.track, wind_direction=direction)  # type: ignore[type-var]
    text = next(word for word in words(from_above(dataclasses.replace(scene, track=track))) if "mean" in word)
    assert text == f"mean wind from {name}"


def test_the_room_and_the_dangers_are_drawn_and_named(scene: Scene) -> None:
    view = from_above(scene)
    assert scene.room is not None
    assert np.nanmax(trace(view, "swinging circle").y) == np.max(scene.room.x)
    assert np.nanmax(trace(view, "dangers").x) == 66.0  # east of the invented rock
    assert {"swinging circle", "anchor", "rock, dries 0.4 m"} <= set(words(view))
    assert trace(view, "dangers").fillpattern.shape == "x"  # told by its hatching too


def test_everything_drawn_from_above_is_within_the_axes(scene: Scene, before: Scene) -> None:
    view = from_above(scene, [before], still=33.0)
    for drawn, (axis, other) in itertools.product(
        view.data, [("x", view.layout.xaxis), ("y", view.layout.yaxis)]
    ):
        values = np.asarray(drawn[axis], dtype=float)
        if values.size:
            assert other.range[0] < np.nanmin(values)
            assert np.nanmax(values) < other.range[1]


def test_the_boat_standing_still_has_her_bow_where_the_track_says(scene: Scene) -> None:
    at = 330
    view = from_above(scene, still=33.0)
    boat = trace(view, "boat")
    north, east = scene.bow()
    apart = np.hypot(np.asarray(boat.x) - east[at], np.asarray(boat.y) - north[at])
    assert np.nanmin(apart[3:]) == pytest.approx(0, abs=1e-9)
    heading = scene.track.heading[at]
    along = np.asarray(boat.y)[3:] * np.cos(heading) + np.asarray(boat.x)[3:] * np.sin(heading)
    assert np.ptp(along) == pytest.approx(12.0)  # her length, along her heading


def test_feet_and_pounds_where_they_are_asked_for(scene: Scene) -> None:
    above, above_us = from_above(scene), from_above(scene, units=US)
    np.testing.assert_allclose(
        np.asarray(trace(above_us, "track of the bow").x) * FOOT, trace(above, "track of the bow").x
    )
    load = load_against_time(scene, units=US)
    np.testing.assert_allclose(
        np.asarray(trace(load, "load at the bow").y) * POUND_FORCE, scene.track.bow_load
    )
    assert above_us.layout.xaxis.ticksuffix == " ft"
    assert load.layout.yaxis.ticksuffix == " lbf"
    assert any("lbf" in word for word in words(load))
    assert not any("kN" in word for word in words(load))


def test_ticks_carry_the_units(scene: Scene) -> None:
    side, load = from_the_side(scene), load_against_time(scene)
    assert side.layout.xaxis.ticksuffix == " m"
    assert load.layout.xaxis.ticksuffix == " min"
    assert load.layout.yaxis2.ticktext[1].endswith(" kn")
    assert trace(load, "wind").y[0] == pytest.approx(
        scene.track.wind_speed[0] * 3600 / 1852
    )  # knot: 1852 m an hour


def test_the_rode_runs_from_the_bottom_to_the_bow(scene: Scene) -> None:
    at = 330
    rode = trace(from_the_side(scene, still=33.0), "rode")
    assert (rode.x[0], rode.y[0]) == (0.0, -6.0)  # the anchor, six metres down
    assert rode.x[-1] == pytest.approx(scene.distance()[at])
    assert rode.y[-1] == pytest.approx(1.5)  # the bow roller


def corners_of(path) -> list[tuple[float, float]]:
    pairs = path.path.strip("MZ").split("L")
    return [tuple(float(value) for value in pair.split(",")) for pair in pairs]  # type: ignore[misc]


@pytest.mark.parametrize("slope", [-0.1, 0.06])
def test_a_bottom_that_slopes_runs_through_the_anchor(scene: Scene, slope: float) -> None:
    view = from_the_side(dataclasses.replace(scene, slope=slope))
    (x0, z0), (x1, z1), *under = corners_of(view.layout.shapes[2])
    assert (z1 - z0) / (x1 - x0) == pytest.approx(math.tan(slope), rel=1e-3)
    assert z0 - x0 * math.tan(slope) == pytest.approx(-6.0, abs=0.01)
    low, high = view.layout.yaxis.range
    right = view.layout.xaxis.range[1]
    assert low < -6.0 + right * math.tan(slope) < high
    assert all(z < low for _, z in under)
    (uplift,) = [note for note in view.layout.annotations if note.text.startswith("peak uplift")]
    assert uplift.y <= -6.0 and (uplift.y < -6.0) == (slope < 0)


def test_the_side_view_shows_water_bottom_and_the_lift(scene: Scene) -> None:
    view = from_the_side(scene)
    water, _, bottom = view.layout.shapes
    left, right = view.layout.xaxis.range
    (x0, at_left), (x1, at_right) = corners_of(bottom)[:2]
    assert (at_left, at_right) == (-6.0, -6.0) and x0 < left and x1 > right
    assert water.y0 < -6.0 and water.y1 == 0.0
    uplift = math.degrees(scene.track.angle_at_anchor.max())
    assert f"peak uplift at the anchor {uplift:.0f}°" in words(view)


def test_the_hull_lies_aft_of_the_bow_away_from_the_anchor(scene: Scene) -> None:
    view = from_the_side(scene, still=33.0)
    hull, distance = trace(view, "boat"), scene.distance()[330]
    assert np.nanmin(hull.x) == pytest.approx(distance, abs=0.01)
    assert 0.3 * 12 <= np.nanmax(hull.x) - np.nanmin(hull.x) <= 12 + 1e-9  # foreshortened, never longer


def test_holding_is_a_band_and_the_weakest_link_a_named_line(scene: Scene) -> None:
    view = load_against_time(scene)
    band, likely, limit = view.layout.shapes
    assert (band.y0, band.y1, likely.y0) == pytest.approx((3.8, 7.1, 5.2))  # kN, as the invented scene says
    assert limit.y0 == pytest.approx(3.1)
    assert limit.line.dash == "longdashdot"
    assert "anchor's holding 3.8 kN to 7.1 kN" in words(view)
    assert "WLL of the joining link, 3.1 kN" in words(view)


def test_holding_far_above_the_loads_is_named_at_the_top(scene: Scene) -> None:
    view = load_against_time(dataclasses.replace(scene, holding=Interval(60e3, 70e3, 80e3)))
    note = next(note for note in view.layout.annotations if "holding" in note.text)
    assert note.text == "↑ anchor's holding 60 kN to 80 kN"
    assert (note.yref, note.y) == ("paper", 1)
    assert view.layout.yaxis.range[1] < 10


def test_a_scene_without_a_weakest_link_has_no_such_line(scene: Scene) -> None:
    parts = tuple(dataclasses.replace(part, weakest=False) for part in scene.parts)
    view = load_against_time(dataclasses.replace(scene, parts=parts))
    assert not any("WLL" in word for word in words(view))
    assert len(view.layout.shapes) == 2


def test_bars_are_peak_over_working_load_with_the_range(scene: Scene) -> None:
    bars = trace(utilisation(scene), "peak load")
    for k, part in enumerate(scene.parts):
        assert bars.x[k] == pytest.approx(100 * part.peak.likely / part.wll)
        assert bars.x[k] + bars.error_x.array[k] == pytest.approx(100 * part.peak.high / part.wll)
        assert bars.x[k] - bars.error_x.arrayminus[k] == pytest.approx(100 * part.peak.low / part.wll)


def test_the_weakest_link_and_the_breaking_loads_are_told_in_words(scene: Scene) -> None:
    view = utilisation(scene)
    assert "<b>joining link</b>" in view.layout.yaxis.ticktext
    weakest = 100 * scene.track.bow_load.max() / 3100  # its peak load over its WLL
    assert {f"<b>{weakest:.0f} %</b>", "<b>weakest</b>"} <= set(words(view))
    assert {"WLL", "strength left"} <= set(words(view)) and "300 % →" in words(view)
    anchor = dataclasses.replace(scene.parts[0], failure="drags")
    assert "drags at 300 % →" in words(utilisation(dataclasses.replace(scene, parts=(anchor,))))
    assert trace(view, "strength left").x[3] == pytest.approx(300)


def test_a_part_over_its_working_load_is_hatched(scene: Scene) -> None:
    part = dataclasses.replace(scene.parts[0], peak=Interval(1.0, 2.0, 3.0), wll=1.5)
    bars = trace(utilisation(dataclasses.replace(scene, parts=(part, scene.parts[1]))), "peak load")
    assert list(bars.marker.pattern.shape) == ["/", ""]


def test_needles_standing_still_show_the_load_at_that_instant(scene: Scene) -> None:
    view = utilisation(scene, still=33.0)
    needles = view.layout.shapes[1:]
    assert needles[0].x0 == pytest.approx(
        100 * scene.track.anchor_load[330] / 8000
    )  # the shank is at the anchor
    assert needles[2].x0 == pytest.approx(100 * scene.track.bow_load[330] / 8000)


def test_four_have_one_letter_colour_and_dash_in_every_view(scene: Scene, before: Scene) -> None:
    others = [dataclasses.replace(before, letter=letter) for letter in "DB"]
    signs = {"C": ("#009E73", "dot"), "D": ("#CC79A7", "dashdot"), "B": ("#D55E00", "dash")}  # as published
    for name, draw in VIEWS.items():
        view = draw(dataclasses.replace(scene, letter="C"), others)
        for place, letter in enumerate("DB", 1):
            found = [drawn for drawn in view.data if drawn.name.endswith(f"other {place}") and len(drawn.x)]
            colour = tuple(int(signs[letter][0][k : k + 2], 16) for k in (1, 3, 5))
            assert found, (name, letter)
            for drawn in found:
                assert drawn.line.dash == signs[letter][1]
                assert drawn.line.color.startswith(f"rgba({colour[0]},{colour[1]},{colour[2]},") or (
                    drawn.line.color == signs[letter][0]
                )
        title = view.layout.title.text
        assert all(f"<b>{letter}</b>" in title for letter in "BCD") and title.index("<b>B") < title.index(
            "<b>C"
        )
        assert not any(len(drawn.x) for drawn in draw(scene).data if "other" in drawn.name)
        assert "<b>A</b>" not in draw(scene).layout.title.text


def test_letters_that_do_not_fit_are_refused(scene: Scene, before: Scene) -> None:
    twice = [dataclasses.replace(before, letter="A")] * 2
    for others in (twice, [before] * 4, [dataclasses.replace(before, letter="E")]):
        with pytest.raises(ValueError, match="Expected up to three, each with its own letter"):
            from_above(scene, others)


def test_another_is_put_into_the_row_of_the_part_of_the_same_name(scene: Scene) -> None:
    earlier = dataclasses.replace(scene, parts=scene.parts[2:4])
    view = utilisation(scene, [earlier])
    box, bars = trace(view, "other 1"), trace(view, "peak load")
    rows = {round(y) for y in box.y if y is not None}
    assert rows == {2, 3}
    assert max(x for x in box.x if x is not None) == pytest.approx(bars.x[3])
    upper = [y for y in box.y if y is not None and round(y) == 2]
    assert min(upper) >= bars.y[2] + bars.width / 2 and max(upper) <= 2.5  # beneath the first one's bar


def test_another_place_has_its_own_bottom(scene: Scene, before: Scene) -> None:
    deeper = dataclasses.replace(before, depth=9.0)
    assert set(trace(from_the_side(scene, [deeper]), "bottom, other 1").y) == {-9.0}
    assert not len(trace(from_the_side(scene, [before]), "bottom, other 1").x)


def test_what_lies_far_off_leaves_her_large_and_is_named_at_the_edge(scene: Scene) -> None:
    ledge = Area("Gannet ledge", np.array([-300.0, -320.0, -310.0]), np.array([-5.0, 0.0, 5.0]))
    view = from_above(dataclasses.replace(scene, dangers=(*scene.dangers, ledge)))
    assert view.layout.yaxis.range == from_above(scene).layout.yaxis.range
    (note,) = [note for note in view.layout.annotations if "Gannet" in note.text]
    assert note.text == "↓ Gannet ledge, 300 m S"
    assert note.y == view.layout.yaxis.range[0]


@pytest.mark.parametrize("dark", [False, True])
def test_text_stands_out_from_its_ground(dark: bool) -> None:
    look = theme(dark)
    for text, ground in [
        (look.ink, look.paper),
        (look.faint, look.paper),
        (look.ink, look.water),
        (look.ink, look.bottom),
    ]:
        assert contrast(text, ground) >= 4.5  # WCAG 2.2, success criterion 1.4.3
    for line in (look.load, look.holding, look.limit, look.wind, look.before, look.danger, *look.setups):
        assert contrast(line, look.paper) >= 3.0  # WCAG 2.2, success criterion 1.4.11


def contrast(one: str, other: str) -> float:
    """Contrast ratio and relative luminance as WCAG 2.2 defines them."""

    def luminance(colour: str) -> float:
        shares = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
        linear = [s / 12.92 if s <= 0.04045 else ((s + 0.055) / 1.055) ** 2.4 for s in shares]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_signal_colours_are_those_of_the_published_palette() -> None:
    # B. Wong, Nature Methods 8, 441 (2011), RGB (0-255) as printed there after Okabe and Ito.
    published = {(86, 180, 233), (0, 158, 115), (0, 114, 178), (213, 94, 0), (230, 159, 0), (204, 121, 167)}
    for look in (theme(False), theme(True)):
        for colour in (look.load, look.holding, look.limit, look.wind, look.room, look.danger, *look.setups):
            assert tuple(int(colour[k : k + 2], 16) for k in (1, 3, 5)) in published


@pytest.mark.parametrize("dark", [False, True])
def test_nothing_is_written_smaller_than_twelve_pixels(scene: Scene, before: Scene, dark: bool) -> None:
    for draw in VIEWS.values():
        assert min(sizes(draw(scene, [before], look=theme(dark)).to_plotly_json()["layout"])) >= 12


@pytest.mark.parametrize("dark", [False, True])
def test_from_afar_words_are_large_and_lines_thick(scene: Scene, before: Scene, dark: bool) -> None:
    for draw in VIEWS.values():
        view = draw(scene, [before], look=theme(dark), scale=1.45)
        assert min(sizes(view.layout.title.to_plotly_json())) >= 18
        assert all(note.font.size >= 18 for note in view.layout.annotations)
        assert all(
            drawn.line.width >= 3 for drawn in view.data if drawn.type == "scatter" and drawn.line.width
        )


def sizes(found: object) -> list[float]:
    """Every font size anywhere in a layout."""
    if isinstance(found, dict):
        own = [found["size"]] if "size" in found else []
        return own + [size for value in found.values() for size in sizes(value)]
    return [size for value in found for size in sizes(value)] if isinstance(found, list | tuple) else []


def test_nothing_in_a_view_leaves_the_machine(scene: Scene) -> None:
    for draw in VIEWS.values():
        text = draw(scene).to_json()
        assert "http" not in text
        assert all(found.type in ("scatter", "bar") for found in draw(scene).data)  # no maps
    assert not CONFIG["displaylogo"]
    assert CONFIG["modeBarButtons"] == [["zoom2d", "pan2d", "resetScale2d"]]
