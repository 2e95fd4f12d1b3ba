"""The diary is turned on the day that evens its openings, or near it, with a reason."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any
from unittest.mock import patch

import pytest
from django.test import Client
from django.urls import reverse

from lifecycle.planning.turn_days import turn_days
from lifecycle.planning.what_if import USUAL
from lifecycle.process.stages import Role
from lifecycle.queries.light.turning import Wish, turn_days_of
from lifecycle.queries.light.what_if import what_if_of
from lifecycle.records.models import Appointment, Face, Showing
from tests.builders.core import (
    kept_by,
    make_exhibition,
    make_face,
    make_museum,
    make_object,
    make_person,
    make_place,
    make_showing,
)
from tests.builders.light import hang, make_case, read_light, want
from tests.pages.plain_words import words_of

pytestmark = pytest.mark.django_db

OPENS, CLOSES = date(2026, 3, 14), date(2026, 9, 6)
IN_JUNE = datetime(2026, 6, 3, 9, 0, tzinfo=UTC)


def diary(*, up: bool) -> tuple[Showing, Face, Face]:
    """The diary with its two openings in the plan; A may hang since the first day at 42 lx."""
    make_museum()
    thing = make_object(title="Weather diary of Hester Plym")
    a, b = make_face(thing, label="ff. 31v-32r"), make_face(thing, label="ff. 88v-89r", order=2)
    case = make_case(name="Case N1")
    place = make_place(parent=case)
    show = make_exhibition(opens=OPENS, closes=CLOSES, closed_weekdays=[0])
    showing = make_showing(
        museum_object=thing, exhibition=show, place=place, show_from=OPENS, show_to=CLOSES
    )
    middle = date(2026, 6, 10)
    want(showing, a, from_on=OPENS, until_on=middle - timedelta(1))
    want(showing, b, order=2, from_on=middle, until_on=CLOSES)
    if up:
        opened = datetime(2026, 3, 14, 0, 0, tzinfo=UTC)
        read_light(case, "42", opened)
        for month in (4, 5, 6):
            read_light(case, "42", datetime(2026, month, 2, 10, 0, tzinfo=UTC))
        hang(a, place, opened_at=opened, showing=showing)
    return showing, a, b


def test_the_mondays_are_listed_with_both_doses_and_15_june_is_marked(client: Client) -> None:
    showing, a, b = diary(up=False)
    person = make_person(Role.CONSERVATOR, Role.REGISTRAR)
    assert person.account is not None
    client.force_login(person.account)
    asked = {f"lux_{a.uid}": "42", f"lux_{b.uid}": "45", "even_by": "this_showing"}
    asked |= {"allowed": "closed", "least_days": "1"}
    with patch("lifecycle.queries.light.turning.turn_days", wraps=turn_days) as solved:
        page = client.get(reverse("turn-days", args=[showing.uid]), asked).content.decode()
    assert solved.call_count == 1
    rows = [words_of(row) for row in page.split("<tr>")[2:]]
    (eighth,) = [row for row in rows if row.startswith("Mon 8 Jun 2026")]
    (fifteenth,) = [row for row in rows if row.startswith("Mon 15 Jun 2026")]
    assert "26,376 29,700 3,324" in eighth
    assert "28,518 27,405 1,113" in fifteenth
    assert "most even" in fifteenth
    assert "most even" not in eighth
    assert len(rows) == 25  # the Mondays of the run
    text = words_of(page)
    assert "The calendar’s middle, Wed 10 Jun 2026, would give" in text
    assert "they do not hang in the same light" in text
    # She picks the 8th, because two trained people are there; the reason is kept.
    plan = f"{reverse('appointment-new', args=[showing.uid])}?kind=turn&day=2026-06-08"
    assert plan.replace("&", "&amp;") in page


def test_half_way_the_light_had_is_counted_and_the_same_monday_comes_out() -> None:
    showing, _, b = diary(up=True)
    asked = turn_days_of(showing, IN_JUNE, Wish(lux={b.pk: Decimal(45)}))
    assert asked.answer is not None
    assert asked.answer.best is not None
    (turn,) = asked.answer.best.days
    assert turn.day == date(2026, 6, 15)
    first, second = asked.answer.best.stretches
    assert (first.load_lx_h, second.load_lx_h) == (28_518, 27_405)
    assert first.face.before > 0  # what opening A had since 14 March
    assert not Appointment.objects.exists()


def test_light_that_passes_through_or_one_face_alone_gives_no_turn_day() -> None:
    showing, _, _ = diary(up=False)
    thing = showing.museum_object
    thing.light_passes_through = True
    thing.keep(**kept_by(), fields=["light_passes_through"])
    (text,) = turn_days_of(showing, IN_JUNE, Wish()).lacks
    assert "a turn saves nothing" in text


def test_turn_days_and_changes_ask_the_same_queries_for_two_faces_and_for_three(
    django_assert_max_num_queries: Callable[[int], AbstractContextManager[Any]],
) -> None:
    showing, _, _ = diary(up=True)
    with django_assert_max_num_queries(60) as few:
        turn_days_of(showing, IN_JUNE, Wish())
        what_if_of(showing, IN_JUNE, USUAL)
    third = make_face(showing.museum_object, label="ff. 120v-121r", order=3)
    want(showing, third, order=3, from_on=date(2026, 8, 1), until_on=CLOSES)
    with django_assert_max_num_queries(len(few)):
        asked = turn_days_of(showing, IN_JUNE, Wish())
        what_if_of(showing, IN_JUNE, USUAL)
    assert asked.answer is not None
    assert len(asked.answer.sharing.faces) == 3
    assert asked.answer.table == ()
    assert asked.answer.best is not None
    assert len(asked.answer.best.days) == 2
