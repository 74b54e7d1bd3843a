"""What of a scene stays when the deck is planned anew."""

from courseline.engine import design
from courseline.engine.refresh import ground_key
from courseline.engine.site import with_choices
from rectangles import rectangle_site


def test_another_eye_has_other_views_and_another_face_the_same() -> None:
    site = rectangle_site(4000, 1500)
    key = ground_key(design(site))
    assert ground_key(design(with_choices(site, side="grooved"))) == key
    assert ground_key(design(with_choices(site, eye="sitting"))) != key
