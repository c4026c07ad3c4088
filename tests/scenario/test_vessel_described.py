"""The boat as people describe her: a catalogue that could float, and figures that go together."""

from __future__ import annotations

import numpy as np
import pytest
from pydantic import ValidationError

from anchorsim.core.tables import catalogue
from anchorsim.core.units import SEA_WATER, Measure, quantity, si, us_unit, write
from anchorsim.scenario.vessel import Boat, corners

MODELS = list(catalogue())
FOOT = 0.3048


def boat(**stated: object) -> Boat:
    return Boat.model_validate(stated)


# --- The catalogue ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("model", MODELS)
def test_catalogue_boats_could_float(model: str) -> None:
    """Proportions that a naval architect would not stumble on (common practice, no source)."""
    made = boat(model=model)
    value = {name: si(getattr(made, name)) for name in Boat.quantities()}
    block = value["displacement"] / SEA_WATER / made.hulls
    block /= value["waterline"] * value["waterline_beam"] * value["canoe_draught"]
    assert 0.35 < block < 0.5
    displacement_length = value["displacement"] / 1016.047 / (0.01 * value["waterline"] / FOOT) ** 3
    assert 120 < displacement_length < 400
    assert 0.78 < value["waterline"] / value["length"] < 0.98
    assert (1.6 if made.hulls == 2 else 2.7) < value["length"] / value["beam"] < 3.6
    assert value["canoe_draught"] < value["draught"] < 0.22 * value["length"]
    assert 0.08 < value["bow_height"] / value["length"] < 0.17
    assert 0.35 < value["roller"] / value["length"] < 0.6
    assert value["frontal_area"] < value["lateral_area"] < 2.6 * value["length"] * 1.5
    assert value["frontal_area"] > 0.5 * value["beam"] * value["bow_height"]
    assert value["keel_area"] < 0.35 * value["waterline"] * value["draught"]
    assert value["bridle_spread"] < value["beam"]
    assert value["riding_sail"] == 0.0


def test_bigger_sloops_of_the_catalogue_are_bigger_in_everything() -> None:
    sloops = [boat(model=model) for model in MODELS if model.startswith("sloop")]
    for name in ("length", "waterline", "beam", "displacement", "draught", "bow_height", "frontal_area",
                 "lateral_area", "rig_frontal_area", "keel_area", "rudder_area", "roller"):  # fmt: skip
        values = [si(getattr(made, name)) for made in sloops]
        assert values == sorted(values), name


@pytest.mark.parametrize("model", MODELS)
def test_every_field_of_the_catalogue_is_given(model: str) -> None:
    given = set(catalogue()[model])
    of_her_own = {"type", "builder", "year", "hull_number", "rig", "cover", "dinghy"}
    assert set(Boat.model_fields) - given <= {"model", "hulls", "riding_sail"} | of_her_own


@pytest.mark.parametrize("model", MODELS)
def test_outline_bounds_her(model: str) -> None:
    made = boat(model=model)
    points = corners(made)
    assert np.ptp(points[:, 0]) == pytest.approx(si(made.length))
    assert np.ptp(points[:, 1]) == pytest.approx(si(made.beam))
    mirrored = {(round(ahead, 9), round(abs(abeam), 9)) for ahead, abeam in points}
    assert len(mirrored) == len(points) / 2


def test_a_catamaran_has_two_stems() -> None:
    stems = [abeam for ahead, abeam in corners(boat(model="catamaran-12")) if ahead == 6.0]
    assert stems == pytest.approx([3.3 - 1.25 / 2, -(3.3 - 1.25 / 2)])
    assert [abeam for ahead, abeam in corners(boat()) if ahead == 6.0] == [0.0, 0.0]


# --- As people describe her ---------------------------------------------------------------------------------


def refusals(**stated: object) -> dict[str, str]:
    with pytest.raises(ValidationError) as caught:
        boat(**stated)
    found = {}
    for entry in caught.value.errors():
        context = entry.get("ctx", {})
        if entry["type"] == "at":
            found |= {context["path"]: context["sentence"], **dict(context["more"])}
        else:
            found[".".join(map(str, entry["loc"]))] = str(context.get("error", entry["type"]))
    return found


def test_any_figure_may_be_overridden() -> None:
    made = boat(model="sloop-10", displacement="5.5 tonne")
    assert si(made.displacement) == 5500.0
    assert si(made.length) == 10.0


@pytest.mark.parametrize(
    ("stated", "expected"),
    [
        (
            {"waterline": "12.5 m"},
            {"waterline": "12.5 m does not fit boat.length. Expected at most 12 m"},
        ),
        (
            {"waterline": "41 ft"},
            {"waterline": "41 ft does not fit boat.length. Expected at most 39.37 ft"},
        ),
        (
            {"canoe_draught": "2.5 m", "displacement": "20 tonne"},
            {"canoe_draught": "2.5 m does not fit boat.draught. Expected at most 2 m"},
        ),
        (
            {"bridle_spread": "4 m"},
            {"bridle_spread": "4 m does not fit boat.beam. Expected at most 3.9 m"},
        ),
        (
            {"waterline_beam": "4 m"},
            {"waterline_beam": "4 m does not fit boat.beam. Expected at most 3.9 m"},
        ),
        (
            {"model": "catamaran-12", "waterline_beam": "4 m", "displacement": "20 tonne"},
            {
                "waterline_beam": "4 m does not fit boat.beam. Expected at most 3.3 m",
            },
        ),
        (
            {"rudder_centre": "-10 m", "roller": "9.5 m"},
            {
                "roller": "9.5 m does not fit boat.length. Expected at most 7.2 m from amidships",
                "rudder_centre": "-10 m does not fit boat.length. Expected at most 7.2 m from amidships",
            },
        ),
        (
            {"displacement": "21 tonne"},
            {
                "displacement": "21 tonne does not fit boat.waterline, boat.waterline_beam and "
                "boat.canoe_draught. Expected at most 20.17 tonne"
            },
        ),
        (
            {"displacement": "8500 lb"},
            {
                "displacement": "8500 lb does not fit boat.waterline, boat.waterline_beam and "
                "boat.canoe_draught. Expected at least 8891 lb"
            },
        ),
        (
            {"lateral_area": "190 m²", "waterline": "18 ft"},
            {
                "lateral_area": "190 m² does not fit boat.length. Expected at most 72 m²",
                "waterline": "18 ft does not fit boat.length. Expected at least 19.69 ft",
            },
        ),
    ],
)
def test_figures_that_do_not_go_together_are_refused(
    stated: dict[str, object], expected: dict[str, str]
) -> None:
    told = {name: f"{sentence}. Correct one of them." for name, sentence in expected.items()}
    assert refusals(**stated) == told


def test_an_unknown_boat_does_not_hide_what_else_is_wrong() -> None:
    assert refusals(model="slop-12", length="200 m", kind="ship", hulls=3) == {
        "model": '"slop-12" is not known. Expected one of sloop-8, sloop-10, sloop-12, sloop-14, ketch-13, '
        "motor-cruiser-11, catamaran-12; did you mean sloop-12?",
        "length": '"200 m" is out of range. Expected 4 to 30 m.',
        "kind": '"ship" is not known. Expected one of sailing yacht, ketch, motor cruiser, catamaran. '
        "Choose one of them.",
        "hulls": "3 is not known. Expected one of 1, 2. Choose one of them.",
    }


@pytest.mark.parametrize("model", MODELS)
def test_every_boat_may_be_described_in_us_units(model: str) -> None:
    made = boat(model=model)
    given = {
        name: write(quantity(getattr(made, name).m_as(us_unit(entry.unit)), us_unit(entry.unit)))
        for name, entry in Boat.declared().items()
        if isinstance(entry, Measure)
    }
    again = boat(model=model, **given)
    for name in Boat.quantities():
        assert si(getattr(again, name)) == pytest.approx(si(getattr(made, name)), rel=1e-11), name
