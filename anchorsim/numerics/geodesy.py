"""From latitude and longitude to metres about the anchor and back, on the ellipsoid of WGS 84."""

from __future__ import annotations

import math

from geographiclib.geodesic import Geodesic

Place = tuple[float, float]  # latitude and longitude, degrees north and east


def to_local(place: Place, origin: Place) -> tuple[float, float]:
    """Metres north and east of the origin: the geodesic's length, laid off at its azimuth there.

    True in length and bearing from the origin (Karney 2013, as geographiclib has it).
    """
    line = Geodesic.WGS84.Inverse(*origin, *place)
    azimuth = math.radians(line["azi1"])
    return line["s12"] * math.cos(azimuth), line["s12"] * math.sin(azimuth)


def to_place(north: float, east: float, origin: Place) -> Place:
    """The place that lies some metres north and east of the origin, :func:`to_local` turned round.

    Longitude from −180 to 180.
    """
    line = Geodesic.WGS84.Direct(*origin, math.degrees(math.atan2(east, north)), math.hypot(north, east))
    return line["lat2"], line["lon2"]
