"""Results to plotly figures: functions from a scene or a result; nothing here knows widgets.

Door: above, lesson, parts, scene, scenes, setups, style, surroundings, the room itself.
"""

from anchorsim.figures.above import from_above
from anchorsim.figures.comparison import side_by_side
from anchorsim.figures.hull import draw_boat, drawn
from anchorsim.figures.influence import what_matters
from anchorsim.figures.load import load_against_time
from anchorsim.figures.night import through_the_night
from anchorsim.figures.nights import marked, nights_together
from anchorsim.figures.parts import utilisation
from anchorsim.figures.scene import Area, Boat, Outline, Part, RodeShapes, Scene, Track, of_hers
from anchorsim.figures.scope import Step, against_scope
from anchorsim.figures.setups import drawn_as
from anchorsim.figures.sheering import where_she_sheers
from anchorsim.figures.side import from_the_side
from anchorsim.figures.style import CONFIG, METRIC, Theme, Unit, Units, theme, units_of

# CSS class of each view's container, by which the player finds it, and the function that draws it.
VIEWS = {
    "anchorsim-view-above": from_above,
    "anchorsim-view-side": from_the_side,
    "anchorsim-view-load": load_against_time,
    "anchorsim-view-parts": utilisation,
}

__all__ = [
    "CONFIG",
    "METRIC",
    "VIEWS",
    "Area",
    "Boat",
    "Outline",
    "Part",
    "RodeShapes",
    "Scene",
    "Step",
    "Theme",
    "Track",
    "Unit",
    "Units",
    "against_scope",
    "draw_boat",
    "drawn",
    "drawn_as",
    "from_above",
    "from_the_side",
    "load_against_time",
    "marked",
    "nights_together",
    "of_hers",
    "side_by_side",
    "theme",
    "through_the_night",
    "units_of",
    "utilisation",
    "what_matters",
    "where_she_sheers",
]
