"""The light of a plan is known before anything is promised, by lit hours."""

from datetime import date, timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils.timezone import localdate

from lifecycle.planning.day_words import day_words
from lifecycle.process.stages import Role
from tests.builders.core import (
    make_exhibition,
    make_face,
    make_museum,
    make_object,
    make_person,
    make_place,
    make_showing,
)
from tests.builders.light import make_case, want
from tests.pages.plain_words import words_of

pytestmark = pytest.mark.django_db


def run() -> tuple[date, date]:
    """The 177 days of the exhibition, from a Saturday in March of next year to a Sunday."""
    march = localdate().replace(month=3, day=10) + timedelta(366)
    opens = march + timedelta((5 - march.weekday()) % 7)
    return opens, opens + timedelta(176)


def test_plate_5_at_48_lux_for_the_whole_run_takes_61968_of_75000(client: Client) -> None:
    make_museum()
    opens, closes = run()
    plate = make_object(object_number="HCM.1922.7.5", title="Cloud study")
    face = make_face(plate, label="recto")
    showing = make_showing(
        museum_object=plate,
        exhibition=make_exhibition(
            install_from=opens - timedelta(12),
            opens=opens,
            closes=closes,
            deinstall_until=closes + timedelta(20),
        ),
        place=make_place(parent=make_case()),
        show_from=opens,
        show_to=closes,
    )
    want(showing, face)
    person = make_person(Role.CONSERVATOR)
    assert person.account is not None
    client.force_login(person.account)
    address = reverse("what-if", args=[showing.uid])
    page = client.get(address, {"lux": "48", "longer": "", "until": ""}).content.decode()
    text = words_of(page)
    assert "48 lx 61,968 75,000 fits" in text
    assert "13,032 lx·h would be left" in text
    assert "1,291 lit hours of which 1,064 are public" in text
    assert "public hours alone would have shown 51,072 lx·h" in text
    # At the rule's 50 lx, as it stands without a word: 64,550.
    assert "as it is 64,550 75,000 fits" in text
    assert f"At up to 50 lx its light lasts to {day_words(closes)}." in text
    brighter = client.get(address, {"lux": "60", "longer": "", "until": ""}).content.decode()
    assert "60 lx 77,460 75,000 too much" in words_of(brighter)
    for wrong, says in (({"lux": "-1"}, "cannot be negative"), ({"until": "x"}, "no day")):
        asked = {"lux": "", "longer": "", "until": "", **wrong}
        assert says in client.get(address, asked).content.decode()


def test_a_showing_without_class_says_what_it_lacks_and_gives_no_figure(client: Client) -> None:
    make_museum()
    thing = make_object(sensitivity_class=None)
    face = make_face(thing)
    showing = make_showing(museum_object=thing, place=make_place(parent=make_case()))
    want(showing, face)
    person = make_person(Role.CURATOR)
    assert person.account is not None
    client.force_login(person.account)
    page = client.get(reverse("what-if", args=[showing.uid])).content.decode()
    assert "no sensitivity class" in page
    assert "fits" not in page
