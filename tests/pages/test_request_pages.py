"""Pages of asking, answering, planned days, taking down and withdrawing."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils.timezone import now

from lifecycle.process.stages import Role, Stage
from lifecycle.records.models import (
    Appointment,
    AppointmentChange,
    RequestAnswer,
    Showing,
    TakeDown,
    Vocabulary,
    Withdrawal,
)
from lifecycle.records.models.display.rotation import AppointmentKind
from tests.builders.core import (
    make_face,
    make_object,
    make_person,
    make_word,
)
from tests.builders.display import (
    face_of,
    make_case,
    make_crew,
    name_technician,
    on_display,
    planned_showing,
    put_at,
    running,
)
from tests.pages.signing_in import visitor

pytestmark = pytest.mark.django_db


def visit(person: Any) -> Client:
    return visitor(person=person)


def wall_clock(moment: datetime) -> str:
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S+00:00")


def test_a_curator_asks_in_two_steps_and_is_answered_at_once() -> None:
    crew = make_crew()
    exhibition = running(400)
    exhibition.curators.add(crew.curator)
    thing = make_object()
    face = make_face(thing)
    client = visit(crew.curator)
    first = client.post(
        reverse("request-new", args=[exhibition.uid]), {"museum_object": thing.object_number}
    )
    address = first.headers["Location"]
    page = client.get(address)
    assert "Answered at once" in page.content.decode()
    assert page.context["at_once"][0].answer.because
    asked = client.post(
        address,
        {
            "reason": "It shows the frost.",
            "priority": "important",
            "show_from": exhibition.opens.isoformat(),
            "show_to": exhibition.closes.isoformat(),
            "face_1": face.uid,
            "no_alternative_because": "The only one.",
            "late_note": "The loan fell through.",
        },
    )
    assert asked.status_code == 302, asked.context["form"].errors
    showing = Showing.objects.get(museum_object=thing)
    assert showing.faces_wanted.get().face == face
    unknown = client.post(
        reverse("request-new", args=[exhibition.uid]), {"museum_object": "HCM.none"}
    )
    assert "museum_object" in unknown.context["form"].errors


def test_the_answer_page_stores_the_figures_it_showed() -> None:
    crew = make_crew()
    showing = put_at(planned_showing(running(), None), Stage.SELECTION)
    make_word(Vocabulary.GROUND, "light-budget", "light account")
    client = visit(crew.conservator)
    page = client.get(reverse("request-answer", args=[showing.uid]))
    shown = page.context["check"]
    client.post(
        reverse("request-answer", args=[showing.uid]),
        {"answer": "yes", "because": "It may be shown."},
    )
    assert RequestAnswer.objects.get().rules_version == shown.rules_version


def test_a_planned_day_is_moved_from_the_page_with_its_reason() -> None:
    crew = make_crew()
    _, places = make_case("N7", 1)
    showing = put_at(planned_showing(running(), places[0], faces=2), Stage.ON_DISPLAY)
    tomorrow = now() + timedelta(days=1)
    row = name_technician(
        crew,
        showing,
        AppointmentKind.TURN,
        now(),
        day=tomorrow.date(),
        from_face=face_of(showing, 1),
        to_face=face_of(showing, 2),
    )
    client = visit(crew.registrar)
    said = {
        "day": (tomorrow + timedelta(days=7)).date().isoformat(),
        "reason": "A school comes.",
        "agreed_by": crew.curator.uid,
        "person_1": crew.conservator.uid,
        "person_2": crew.technician.uid,
    }
    assert client.post(reverse("appointment-move", args=[row.uid]), said).status_code == 302
    assert AppointmentChange.objects.get().reason == "A school comes."
    kept = client.post(reverse("appointment-move", args=[row.uid]), said | {"reason": ""})
    assert "reason" in kept.context["form"].errors
    assert Appointment.objects.get().state == "moved"


def test_an_emergency_take_down_from_the_page() -> None:
    crew = make_crew()
    _, places = make_case("N8", 1)
    showing = on_display(crew, places[0], now() - timedelta(hours=3), exhibition=running())
    at = wall_clock(now() - timedelta(minutes=1))
    page = visit(make_person(Role.TECHNICIAN)).post(
        reverse("take-down", args=[showing.uid]),
        {
            "taken_down_at": at,
            "lamps_off_at": at,
            "no_lux_because": "Water on the floor.",
            "found": "as_placed",
            "mount": "left_in_case",
            "facsimile": "none",
            "handed_to": "the bench",
            "early_reason": "Water runs down the wall.",
            "curator_told_at": at,
            "emergency": "on",
        },
    )
    assert page.status_code == 302, page.context["form"].errors
    assert TakeDown.objects.get().emergency is True


def test_a_withdrawal_from_the_page() -> None:
    crew = make_crew()
    exhibition = running()
    exhibition.curators.add(crew.curator)
    showing = put_at(planned_showing(exhibition, None), Stage.MOUNTING)
    visit(crew.curator).post(
        reverse("withdraw", args=[showing.uid]),
        {"reason": "Too fragile.", "substitute": "none_wanted"},
    )
    assert Withdrawal.objects.get().showing == showing
