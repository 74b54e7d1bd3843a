import pytest
from courseline.engine.scene.sun import sun_over
from courseline.engine.spec import Place


def test_the_sun_stands_where_the_published_example_has_it():
    # Reda and Andreas, NREL/TP-560-34302 (rev. January 2008), Appendix A.5: zenith 50.111622, azimuth 194.340241
    # degrees (recomputed by the source of our table with a second implementation). Astral's shorter series is
    # within a hundredth of a degree, a fiftieth of the sun's own width.
    sun = sun_over(Place(latitude=39.742476, longitude=-105.1786), "2003-10-17T12:30:30-07:00")
    assert 90.0 - sun.elevation == pytest.approx(50.111622, abs=0.02)
    assert sun.azimuth == pytest.approx(194.340241, abs=0.02)


def test_north_turns_the_sun_with_the_plan():
    straight = sun_over(Place(north=0.0), "2027-06-21T17:00+01:00")
    turned = sun_over(Place(north=350.0), "2027-06-21T17:00+01:00")
    assert (straight.azimuth - turned.azimuth) % 360.0 == pytest.approx(10.0)


def test_a_time_without_a_zone_is_utc():
    assert sun_over(Place(), "2027-06-21T16:00") == sun_over(Place(), "2027-06-21T17:00+01:00")


def test_what_is_no_time_is_refused():
    with pytest.raises(ValueError, match="half past four"):
        sun_over(Place(), "half past four")
