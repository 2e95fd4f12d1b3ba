"""The calendar: weeks, filters, lost people, passed days; a fixed number of queries."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from lifecycle.process.stages import Role, Stage
from lifecycle.queries import display, loans, movements
from lifecycle.queries.calendar import Day, calendar, day_of
from lifecycle.queries.rights import person_facts
from lifecycle.records.models import Appointment, Exhibition, Person, RoleAssignment, Showing
from lifecycle.records.models.display.rotation import AppointmentKind
from tests.builders.core import kept_by, make_exhibition, make_person
from tests.builders.display import (
    Crew,
    bring,
    face_of,
    make_case,
    make_crew,
    name_technician,
    on_display,
    planned_showing,
    put_at,
)

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 6, 3, 9, 0, tzinfo=UTC)  # a Wednesday
TODAY = NOW.date()


def turning(crew: Crew, on: date, exhibition: Exhibition | None = None, **who: Any) -> Appointment:
    _, places = make_case(f"N{Appointment.objects.count() + 1}", 1)
    showing = put_at(
        planned_showing(exhibition or make_exhibition(), places[0], faces=2), Stage.ON_DISPLAY
    )
    return name_technician(
        crew,
        showing,
        AppointmentKind.TURN,
        datetime(2026, 5, 1, 9, 0, tzinfo=UTC),
        day=on,
        from_face=face_of(showing, 1),
        to_face=face_of(showing, 2),
        **who,
    )


def shown(crew: Crew, person: Person | None = None, **asked: Any) -> list[Day]:
    facts = person_facts(person or crew.registrar, NOW)
    asked.setdefault("first", TODAY)
    return [day for week in calendar(facts, NOW, **asked) for day in week.days]


def test_days_stand_in_their_weeks_in_order() -> None:
    crew = make_crew()
    exhibition = make_exhibition()
    for on in (date(2026, 6, 15), date(2026, 6, 8), date(2026, 6, 5)):
        turning(crew, on, exhibition)
    weeks = calendar(person_facts(crew.registrar, NOW), NOW, first=TODAY)
    assert [week.monday for week in weeks] == [
        date(2026, 6, 1),
        date(2026, 6, 8),
        date(2026, 6, 15),
    ]
    assert [week.number for week in weeks] == [23, 24, 25]


def test_a_day_that_has_passed_stands_in_the_first_week_and_says_so() -> None:
    crew = make_crew()
    turning(crew, date(2026, 5, 18))
    (day,) = shown(crew)
    assert day.late is True
    assert day.state == "late"
    assert "Its day has passed" in " ".join(day.troubles)


def test_a_turn_that_has_lost_its_people_says_who() -> None:
    crew = make_crew()
    row = turning(crew, date(2026, 6, 8))
    assert day_of(row, NOW).troubles == ()
    leaver = crew.technician
    leaver.ends_on = date(2026, 6, 5)
    leaver.keep(**kept_by(), fields=["ends_on"])
    (day,) = shown(crew)
    assert day.lost_people == ("Bram Oduya",)
    assert "Bram Oduya is no longer here for it: name another person." in day.troubles


def test_a_post_that_ends_before_the_day_is_a_lost_person_too() -> None:
    crew = make_crew()
    turning(crew, date(2026, 6, 8))
    post = RoleAssignment.objects.get(person=crew.conservator)
    post.until_on = date(2026, 6, 7)
    post.keep(**kept_by(), fields=["until_on"])
    assert shown(crew)[0].lost_people == ("Marit Oldacre",)


def test_filters_by_place_person_and_kind() -> None:
    crew = make_crew()
    exhibition = make_exhibition()
    first = turning(crew, date(2026, 6, 8), exhibition)
    second = turning(crew, date(2026, 6, 8), exhibition)
    case = second.place.parent
    assert case is not None
    assert [d.appointment for d in shown(crew, place=case)] == [second]
    assert len(shown(crew, place=case.parent)) == 2
    assert len(shown(crew, whose=crew.technician)) == 2
    assert shown(crew, whose=crew.curator) == []
    assert shown(crew, kind=AppointmentKind.INSTALL) == []
    assert {d.appointment for d in shown(crew, kind=AppointmentKind.TURN)} == {first, second}


def test_somebody_sees_the_days_of_own_jobs_only() -> None:
    crew = make_crew()
    turning(crew, date(2026, 6, 8))
    assert len(shown(crew, crew.technician)) == 1
    assert shown(crew, make_person(Role.TECHNICIAN)) == []
    assert shown(crew, make_person(Role.ATTENDANT)) == []


def test_other_weeks_are_other_lists() -> None:
    crew = make_crew()
    turning(crew, date(2026, 6, 8))
    assert shown(crew, first=date(2026, 8, 10)) == []
    assert len(shown(crew, first=date(2026, 4, 20))) == 1


@pytest.mark.parametrize("asked", ["calendar", "on_showing", "movements", "loans", "list"])
def test_the_number_of_queries_does_not_grow_with_the_rows(
    asked: str, django_assert_max_num_queries: Any
) -> None:
    crew = make_crew()
    facts = person_facts(crew.registrar, NOW)
    exhibition = make_exhibition()
    counts = []
    for rows in (1, 3):
        while Appointment.objects.count() < rows:
            turning(
                crew, date(2026, 6, 8) + timedelta(days=Appointment.objects.count()), exhibition
            )
        showing = Appointment.objects.order_by("pk")[0].showing
        for _ in range(rows):
            _, places = make_case(f"B{Appointment.objects.count()}{showing.movement_lines.count()}")
            bring(crew, showing, places[0], NOW)
        fresh = Showing.objects.select_related("museum_object__current_location").get(pk=showing.pk)
        with django_assert_max_num_queries(60) as found:
            if asked == "calendar":
                calendar(facts, NOW, first=TODAY)
            elif asked == "on_showing":
                display.on_showing(fresh, NOW)
            elif asked == "movements":
                movements.on_showing(fresh, NOW)
            elif asked == "list":
                movements.movements_list(facts, NOW, only="all")
            else:
                loans.on_showing(fresh, NOW)
        counts.append(len(found))
    assert counts[0] == counts[1], counts


def test_the_part_of_the_showing_names_the_face_on_show() -> None:
    crew = make_crew()
    _, places = make_case("N9", 1)
    showing = on_display(crew, places[0], NOW - timedelta(hours=1))
    part = display.on_showing(showing, NOW)
    assert part.shown_now is not None
    assert part.shown_now.face == face_of(showing)
    assert [check.lux for check in part.checks] == [44]
    assert display.on_object(showing.museum_object, NOW)[0].place == places[0]
