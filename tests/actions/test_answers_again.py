"""An answer years later, and what is offered instead of a no."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from lifecycle.actions.display.answering import answer_request
from lifecycle.process.days import day_words
from lifecycle.process.stages import Role
from lifecycle.process.words import Answer
from lifecycle.queries.light import next_allowed_for
from lifecycle.queries.light.answers_again import answer_then
from lifecycle.queries.light.offers import offers_for, set_stem
from lifecycle.records.models import RequestAnswer, Showing, Vocabulary
from tests.builders.core import (
    kept_by,
    make_class,
    make_exhibition,
    make_face,
    make_museum,
    make_object,
    make_person,
    make_place,
    make_showing,
    make_word,
)
from tests.builders.light import hang, make_case, read_light, want
from tests.pages.plain_words import words_of

pytestmark = pytest.mark.django_db
Counted = Callable[[int], AbstractContextManager[Any]]

OPENED = datetime(2026, 3, 14, tzinfo=UTC)
CLOSED = datetime(2026, 9, 6, 23, 0, tzinfo=UTC)
AFTER = datetime(2026, 9, 20, 9, 0, tzinfo=UTC)


def tired_print() -> Showing:
    """Plate 5 of a set, shown for a whole run, asked for again two years on; plate 6 is fresh."""
    make_museum()
    case = make_case()
    place = make_place(parent=case)
    for month in range(3, 10):
        read_light(case, "48", datetime(2026, month, 14, tzinfo=UTC))
    plate = make_object(object_number="HCM.1922.7.5", title="Cloud study")
    face = make_face(plate, label="recto")
    hang(face, place, opened_at=OPENED, closed_at=CLOSED)
    make_face(make_object(object_number="HCM.1922.7.6"), label="recto")
    make_face(make_object(object_number="HCM.1922.70.1"), label="recto")
    make_face(plate, label="verso", order=2)
    opens = date(2028, 3, 1)
    show = make_exhibition(
        install_from=opens - timedelta(10),
        opens=opens,
        closes=opens + timedelta(83),
        deinstall_until=opens + timedelta(90),
    )
    showing = make_showing(
        museum_object=plate,
        exhibition=show,
        place=place,
        show_from=opens,
        show_to=opens + timedelta(83),
    )
    want(showing, face)
    return showing


def refused(showing: Showing) -> RequestAnswer:
    return answer_request(
        by=make_person(Role.CONSERVATOR),
        role=Role.CONSERVATOR,
        at=AFTER,
        showing=showing,
        answer=Answer.NO_UNTIL,
        because="It has had its light.",
        grounds=[make_word(Vocabulary.GROUND, "light").code],
    )


def test_a_no_names_day_rule_and_figures_and_offers_what_there_is() -> None:
    row = refused(tired_print())
    assert row.earliest is not None
    (face,) = answer_then(row).faces
    assert face.now.startswith(f"No, not before {day_words(row.earliest)}, because ")
    assert "house rules v3" in face.now
    assert "Another face: verso, from Wed 1 Mar 2028 as asked." in row.offered
    assert "Another object of the set or list: HCM.1922.7.6, from Wed 1 Mar 2028" in row.offered
    assert "HCM.1922.70.1" not in row.offered
    assert "A facsimile: none is made yet." in row.offered


def test_a_stored_answer_comes_out_the_same_after_rules_class_and_readings_have_changed(
    client: Client,
) -> None:
    showing = tired_print()
    row = refused(showing)
    thing = showing.museum_object
    thing.sensitivity_class = make_class("other", allowance_lx_h=900_000, rest_months=0)
    thing.keep(**kept_by(), fields=["sensitivity_class"])
    read_light(showing.place, "5", AFTER + timedelta(1))  # type: ignore[arg-type]
    kept = RequestAnswer.objects.get(pk=row.pk)
    (face,) = answer_then(kept).faces
    assert face.same is True
    assert face.account.spent.likely_lx_h == 61_968
    person = make_person(Role.CURATOR)
    assert person.account is not None
    client.force_login(person.account)
    page = client.get(reverse("answer-figures", args=[row.uid])).content.decode()
    text = words_of(page)
    assert "the same figures as then" in text
    # What is worded otherwise is no other answer; another figure is.
    kept.inputs["faces"][0]["said"] = "Not before then."
    (worded,) = answer_then(kept).faces
    assert worded.same is True
    kept.inputs["faces"][0]["figures"]["fullest_lx_h"] += 1
    (other,) = answer_then(kept).faces
    assert other.same is False
    kept.inputs["faces"][0].pop("figures")
    (bare,) = answer_then(kept).faces
    assert bare.same is None
    assert "61,968 were spent" in text


def test_what_was_stored_before_a_field_came_is_read_with_its_default() -> None:
    row = refused(tired_print())
    inputs = row.inputs
    del inputs["faces"][0]["inputs"]["limits"]["mean_between"]
    (face,) = answer_then(row).faces
    assert face.account.inputs.limits is not None
    assert face.account.inputs.limits.mean_between is True
    inputs["faces"][0]["inputs"].pop("zone")
    assert "zone" in answer_then(row).unreadable[0]


def test_offers_ask_the_same_queries_for_a_set_of_two_and_of_five(
    django_assert_max_num_queries: Counted,
) -> None:
    showing = tired_print()
    with django_assert_max_num_queries(40) as few:
        offers_for(showing, AFTER)
    for number in (10, 7, 9):
        make_face(make_object(object_number=f"HCM.1922.7.{number}"), label="recto")
    with django_assert_max_num_queries(len(few)):
        found = offers_for(showing, AFTER)
    assert "HCM.1922.7.6, HCM.1922.7.7, HCM.1922.7.9 and 1 more" in found[1]


def test_a_face_that_is_never_shown_is_answered_with_no_and_its_reason() -> None:
    showing = tired_print()
    (verso,) = showing.museum_object.faces.filter(label="verso")
    verso.never_show, verso.never_show_reason = True, "the ink is loose"
    verso.keep(**kept_by(), fields=["never_show", "never_show_reason"])
    answer = next_allowed_for(
        verso, first_day=date(2028, 3, 1), days=7, place=showing.place, lux=None, at=AFTER
    )
    assert answer.first is None
    assert "verso is never shown: the ink is loose." in answer.because
    assert not [text for text in offers_for(showing, AFTER) if "verso" in text]


@pytest.mark.parametrize(
    ("number", "stem"),
    [
        ("HCM.1922.7.12", "HCM.1922.7."),
        ("HCM.1951.3.1", "HCM.1951.3."),
        ("HCM.1908.12", ""),
        ("L2026.1", ""),
        ("HCM.H.2207", ""),
        ("1922/7/3a", "1922/7/"),
    ],
)
def test_a_set_is_told_by_the_last_part_of_the_number(number: str, stem: str) -> None:
    assert set_stem(number) == stem
