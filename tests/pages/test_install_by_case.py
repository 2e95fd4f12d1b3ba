"""Whom a case lets in for its installs, one object at a time, and what it says beforehand."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils.timezone import now

from lifecycle.actions.moves import place_hold
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import HoldKind
from lifecycle.records.models import Appointment, Place, Showing
from lifecycle.records.models.display.rotation import AppointmentKind
from tests.builders.core import make_person
from tests.builders.display import (
    Crew,
    bring,
    make_case,
    make_crew,
    name_technician,
    planned_showing,
    put_at,
    running,
)
from tests.pages.test_display_pages import case_form, ready_now, visit

pytestmark = pytest.mark.django_db


def unnamed(crew: Crew, place: Place) -> Showing:
    """Ready in its position, with no day planned and nobody named."""
    at = now() - timedelta(hours=2)
    showing = planned_showing(running(), place)
    put_at(showing, Stage.READY, at)
    return bring(crew, showing, place, at)


def case_of_two(crew: Crew) -> tuple[Place, Showing, Showing]:
    """The technician is named for the second object alone."""
    case, (one, two) = make_case("N5", 2)
    first, second = unnamed(crew, one), unnamed(crew, two)
    name_technician(crew, second, AppointmentKind.INSTALL, now() - timedelta(hours=1))
    return case, first, second


def test_a_technician_named_for_any_object_of_a_case_gets_in_and_sees_that_one() -> None:
    crew = make_crew()
    case, first, second = case_of_two(crew)
    client = visit(crew.technician)
    said = client.get(reverse("install-case", args=[case.uid])).content.decode()
    assert second.museum_object.object_number in said
    assert first.museum_object.object_number not in said
    link = reverse("install-case", args=[case.uid])
    assert link in client.get(reverse("place", args=[case.uid])).content.decode()


def test_after_the_last_object_is_up_the_page_still_answers_who_was_named() -> None:
    crew = make_crew()
    case, _, second = case_of_two(crew)
    page = visit(crew.technician).post(
        reverse("install-case", args=[case.uid]), case_form(crew, [second]), follow=True
    )
    assert page.status_code == 200
    assert f"On display: {second.museum_object.object_number}" in page.content.decode()
    assert Showing.objects.get(pk=second.pk).stage == Stage.ON_DISPLAY


def test_who_is_not_named_is_let_in_by_no_link_and_no_code() -> None:
    crew = make_crew()
    case, _, _ = case_of_two(crew)
    client = visit(make_person(Role.TECHNICIAN, name="Tam Birtle"))
    link = reverse("install-case", args=[case.uid])
    assert client.get(link).status_code == 403
    page = client.post(reverse("install-by-code"), {"place_code": case.code})
    assert "not named for anything" in str(page.context["form"].errors["place_code"])
    place = client.get(reverse("place", args=[case.uid]))
    assert place.status_code == 200
    assert link not in place.content.decode()


def test_an_appointment_called_off_with_its_showing_opens_nothing() -> None:
    """A closed showing is nobody's job at the case any more."""
    crew = make_crew()
    case, first, second = case_of_two(crew)
    put_at(second, Stage.WITHDRAWN)
    assert Appointment.objects.filter(showing=second).exists()
    assert visit(crew.technician).get(reverse("install-case", args=[case.uid])).status_code == 403
    assert not Appointment.objects.filter(showing=first).exists()


@pytest.mark.parametrize("role", [Role.CURATOR, Role.ATTENDANT, Role.HEAD_OF_COLLECTIONS])
def test_the_way_by_code_is_shown_only_to_those_who_handle_objects(role: Role) -> None:
    crew = make_crew()
    link = reverse("install-by-code")
    other = visit(make_person(role))
    assert link not in other.get(reverse("calendar")).content.decode()
    assert other.get(link).status_code == 403
    assert link in visit(crew.technician).get(reverse("calendar")).content.decode()


def test_a_second_person_who_is_not_named_for_an_object_is_told_beside_their_name() -> None:
    crew = make_crew()
    case, first, second = case_of_two(crew)
    form = case_form(crew, [first, second], second_person=crew.technician.uid)
    page = visit(crew.conservator).post(reverse("install-case", args=[case.uid]), form)
    told = str(page.context["form"].errors["second_person"])
    assert page.status_code == 200
    assert f"Bram Oduya is not named for {first.museum_object.object_number}" in told
    assert Showing.objects.filter(stage=Stage.READY).count() == 2


@pytest.mark.parametrize("name", ["install", "withdraw"])
def test_a_hold_is_said_before_anything_is_filled_and_what_the_form_writes_is_not(
    name: str,
) -> None:
    crew = make_crew()
    (showing,) = ready_now(crew)
    thing, curator = showing.museum_object, make_person(Role.CURATOR)
    who = crew.conservator if name == "install" else curator
    if name == "withdraw":
        showing.exhibition.curators.add(curator)
    place_hold(
        by=crew.conservator,
        role=Role.CONSERVATOR,
        at=now(),
        object_id=thing.pk,
        kind=HoldKind.OTHER,
        reason="A new crease.",
    )
    address = reverse(name, args=[showing.uid])
    missing = visit(who).get(address).context["missing"]
    said = [one.text for one in missing]
    assert any("is held" in text for text in said) is (name == "install")
    assert all(one.href != address for one in missing)
    assert visit(who).post(address, {}).context["missing"] == []
    case = showing.place.parent if showing.place else None
    if name == "install" and case is not None:
        words = visit(who).get(reverse("install-case", args=[case.uid])).content.decode()
        assert "is held since" in words
