"""Where the sun stands over a site at a time."""

from __future__ import annotations

from datetime import datetime

from astral import Observer
from astral.sun import azimuth, elevation

from ..spec import Place
from .model import Sun


def sun_over(place: Place, when: str) -> Sun:
    """Work out the sun's place in the sky.

    Parameters
    ----------
    place : Place
        Latitude and longitude [degrees], and where north lies on the plan [degrees from +y, clockwise].
    when : str
        ISO 8601; a time without a zone is taken as UTC.

    Returns
    -------
    Sun
        Azimuth clockwise from the plan's +y, in [0, 360), and elevation with refraction [degrees].

    Raises
    ------
    ValueError
        If `when` is not a time.
    """
    moment = datetime.fromisoformat(when)
    observer = Observer(place.latitude, place.longitude)
    return Sun((azimuth(observer, moment) + place.north) % 360.0, elevation(observer, moment))
