"""Pages of movements, loans, incidents and the calendar: forms, doors, hidden bays and contacts."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils.timezone import now

from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import Hazard, HazardEvidence, Orientation, PlaceKind
from lifecycle.records.models import (
    Hold,
    Incident,
    Loan,
    Movement,
    MuseumObject,
    ObjectHazard,
    Organisation,
    Person,
    RemovalCard,
    Requirement,
    Vocabulary,
)
from lifecycle.records.models.display.rotation import AppointmentKind
from tests.builders.core import kept_by, make_museum, make_object, make_place, make_word
from tests.builders.display import (
    PASSWORD,
    a_photo,
    make_case,
    make_crew,
    method_word,
    name_technician,
    planned_showing,
    put_at,
    reason_word,
    running,
)
from tests.pages.signing_in import visitor

pytestmark = pytest.mark.django_db


def visit(person: Person) -> Client:
    return visitor(person=person)


def clock(moment: datetime) -> str:
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S+00:00")


def plan_form(thing: MuseumObject, to: Any, **values: Any) -> dict[str, Any]:
    assert thing.current_location is not None
    said: dict[str, Any] = {
        "objects": thing.object_number,
        "from_place": thing.current_location.uid,
        "to_place": to.uid,
        "reason": reason_word("examine").code,
        "people_needed": 1,
    }
    return said | values


def test_a_movement_goes_from_plan_to_confirmed_arrival_in_the_browser() -> None:
    crew, thing = make_crew(), make_object()
    bench = make_place("Bench 1", PlaceKind.BENCH)
    registrar, conservator = visit(crew.registrar), visit(crew.conservator)
    page = conservator.post(reverse("movement-new"), plan_form(thing, bench))
    row = Movement.objects.get()
    assert page.headers["Location"] == reverse("movement", args=[row.uid])
    refused = conservator.post(
        reverse("movement-hand-over", args=[row.uid]),
        {"left_at": clock(now()), "password": PASSWORD},
    )
    assert "no authority yet" in refused.content.decode()
    registrar.post(reverse("movement-authorise", args=[row.uid]))
    conservator.post(
        reverse("movement-hand-over", args=[row.uid]),
        {"left_at": clock(now()), "password": PASSWORD},
    )
    arrived = registrar.post(
        reverse("movement-receive", args=[row.uid]),
        {
            "arrived_at": clock(now()),
            "state": "same",
            "password": PASSWORD,
            "place_code": bench.code,
            "object_codes": thing.code,
        },
    )
    assert arrived.status_code == 302, arrived.context["form"].errors
    row.refresh_from_db()
    thing.refresh_from_db()
    assert row.arrival_confirmed_how == "scan"
    assert thing.current_location == bench
    assert RemovalCard.objects.get().place == thing.normal_location
    body = registrar.get(reverse("movement", args=[row.uid])).content.decode()
    assert "arrived and confirmed" in body


def test_a_way_ruled_out_by_a_hazard_is_not_in_the_choices() -> None:
    crew = make_crew()
    for code in ("hand", "trolley", "trolley-upright-rack"):
        method_word(code)
    _, places = make_case("N7", 1)
    thing = make_object(orientation_rule=Orientation.UPRIGHT_ONLY.value)
    ObjectHazard(
        museum_object=thing, hazard=Hazard.MERCURY_LIQUID, evidence=HazardEvidence.TESTED
    ).keep(**kept_by())
    showing = put_at(planned_showing(running(), places[0], museum_object=thing), Stage.MOUNTING)
    page = visit(crew.conservator).get(reverse("movement-new") + f"?showing={showing.uid}")
    offered = [str(value) for value, _ in page.context["form"].fields["method"].choices]
    assert "trolley" not in offered
    assert "trolley-upright-rack" in offered
    assert page.context["form"].initial["people_needed"] == 2
    assert "Liquid mercury" in page.content.decode()


def test_unknown_numbers_stand_beside_the_objects_and_the_rest_is_kept() -> None:
    crew, thing = make_crew(), make_object()
    bench = make_place("Bench 1", PlaceKind.BENCH)
    page = visit(crew.registrar).post(
        reverse("movement-new"),
        plan_form(thing, bench, objects="HCM.none", route_remarks="Mind the ramp."),
    )
    assert "HCM.none" in str(page.context["form"].errors["objects"])
    assert "Mind the ramp." in page.content.decode()


def test_an_attendant_sees_no_store_bay() -> None:
    crew = make_crew()
    gallery_case, places = make_case("N1", 1)
    thing = make_object(normal_location=make_place("Bay 99", PlaceKind.BAY))
    showing = planned_showing(running(), places[0], museum_object=thing)
    put_at(showing, Stage.MOUNTING)
    visit(crew.conservator).post(
        reverse("movement-new"), plan_form(thing, places[0], reason=reason_word("install").code)
    )
    gallery = gallery_case.parent
    assert gallery is not None
    guard = visitor(Role.ATTENDANT)
    person = Person.objects.order_by("-pk")[0]
    person.roles.get().galleries.add(gallery)
    seen = guard.get(reverse("movements")).content.decode()
    assert "Bay 99" not in seen
    assert "the store" in seen
    assert "Bay 99" in visit(crew.registrar).get(reverse("movements")).content.decode()


def lent() -> tuple[Organisation, MuseumObject]:
    trust = Organisation(name="Saltmarsh Observatory Trust", kind="lender").keep(**kept_by())
    return trust, make_object(owner_kind="lender", lender=trust)


def loan_form(trust: Organisation, thing: MuseumObject, **values: Any) -> dict[str, Any]:
    said: dict[str, Any] = {
        "agreement_no": "L2026/1",
        "lender": trust.uid,
        "direction": "in",
        "state": "asked",
        "objects": thing.object_number,
        "starts_on": "2026-02-01",
        "ends_on": "2027-09-30",
        "contact": "Lev Ardmore, Mole Lane 4",
        "insurance_reference": "IND-77",
    }
    return said | values


def test_a_loan_and_its_clause_are_entered_and_contacts_stay_with_the_registrar() -> None:
    crew = make_crew()
    trust, thing = lent()
    client = visit(crew.registrar)
    page = client.post(reverse("loan-new"), loan_form(trust, thing))
    assert page.status_code == 302, page.context["form"].errors
    row = Loan.objects.get()
    made = client.post(
        reverse("clause-new", args=[row.uid]),
        {
            "clause_ref": "7b",
            "text": "At most 50 lx.",
            "source": "lender_clause",
            "parameter": "lux",
            "operator": "at_most",
            "high": "50",
            "hard": "on",
            "evidence": "readings",
        },
    )
    assert made.status_code == 302, made.context["form"].errors
    assert Requirement.objects.get().unit == "lx"
    address = reverse("loan", args=[row.uid])
    assert "Mole Lane 4" in client.get(address).content.decode()
    for person in (crew.conservator, crew.curator):
        seen = visit(person).get(address).content.decode()
        assert "At most 50 lx." in seen
        assert "Mole Lane 4" not in seen
        assert "IND-77" not in seen
    impossible = client.post(
        reverse("loan-new"), loan_form(trust, thing, agreement_no="L2", ends_on="2020-01-01")
    )
    assert "ends_on" in impossible.context["form"].errors


@pytest.mark.parametrize("name", ["loan-new", "loan-change", "loan-extend", "clause-new"])
def test_loans_are_kept_by_the_registrar_alone(name: str) -> None:
    crew = make_crew()
    trust, thing = lent()
    visit(crew.registrar).post(reverse("loan-new"), loan_form(trust, thing))
    args = [] if name == "loan-new" else [Loan.objects.get().uid]
    for role in (Role.CONSERVATOR, Role.CURATOR, Role.TECHNICIAN, Role.ATTENDANT, Role.STEWARD):
        assert visitor(role).get(reverse(name, args=args)).status_code == 403
    for role in (Role.REGISTRAR, Role.HEAD_OF_COLLECTIONS):
        assert visitor(role).get(reverse(name, args=args)).status_code == 200


def test_anybody_reports_an_incident_with_a_photograph() -> None:
    make_museum()
    thing = make_object()
    make_word(Vocabulary.INCIDENT_KIND, "slip")
    photo = a_photo()
    client = visitor(Role.ATTENDANT)
    page = client.post(
        reverse("incident-new"),
        {
            "objects": thing.object_number,
            "kind": "slip",
            "discovered_at": clock(now() - timedelta(minutes=3)),
            "circumstances": "The sheet <b>hangs</b> askew.",
            "certainty": "not_known",
            "photo": SimpleUploadedFile(photo.name, photo.data, content_type="image/png"),
        },
    )
    assert page.status_code == 302, page.context["form"].errors
    row = Incident.objects.get()
    assert row.picture is not None
    assert Hold.objects.get().museum_object == thing
    seen = client.get(reverse("incident", args=[row.uid])).content.decode()
    assert "&lt;b&gt;hangs" in seen
    assert client.get(reverse("incident-complete", args=[row.uid])).status_code == 403
    assert row.incident_no in client.get(reverse("incidents")).content.decode()


def test_an_incident_begins_where_the_object_stands_for_those_who_may_know_its_place() -> None:
    make_museum()
    bay = make_place(kind=PlaceKind.BAY)
    thing = make_object(current_location=bay)
    address = f"{reverse('incident-new')}?object={thing.uid}"
    begun = {
        role: visitor(role).get(address).context["form"]["place"].value()
        for role in (Role.REGISTRAR, Role.ATTENDANT)
    }
    assert begun == {Role.REGISTRAR: str(bay.uid), Role.ATTENDANT: ""}


def test_an_incident_without_words_keeps_what_was_typed() -> None:
    make_museum()
    thing = make_object()
    make_word(Vocabulary.INCIDENT_KIND, "slip")
    page = visitor(Role.TECHNICIAN).post(
        reverse("incident-new"),
        {
            "objects": thing.object_number,
            "kind": "slip",
            "discovered_at": clock(now()),
            "circumstances": "",
            "certainty": "day",
        },
    )
    assert "circumstances" in page.context["form"].errors
    assert thing.object_number in page.content.decode()


def test_the_calendar_links_only_where_the_person_may_go() -> None:
    crew = make_crew()
    _, places = make_case("N3", 1)
    showing = put_at(planned_showing(running(), places[0]), Stage.READY)
    row = name_technician(
        crew, showing, AppointmentKind.INSTALL, now(), day=now().date() + timedelta(days=3)
    )
    move = reverse("appointment-move", args=[row.uid])
    make = reverse("install", args=[showing.uid])

    def links(person: Person) -> tuple[bool, bool]:
        body = visit(person).get(reverse("calendar")).content.decode()
        assert row.appointment_no in body
        return move in body, make in body

    assert links(crew.registrar) == (True, True)
    assert links(crew.technician) == (False, True)
    assert links(crew.curator) == (False, False)
    assert links(crew.head) == (True, False)


def test_the_calendar_answers_with_the_weeks_alone_to_htmx_and_refuses_no_filter() -> None:
    crew = make_crew()
    client = visit(crew.registrar)
    answer = client.get(reverse("calendar"), headers={"HX-Request": "true"})
    part = answer.content.decode()
    assert "<html" not in part
    assert "HX-Request" in answer["Vary"]  # or 'back' would show these rows as the whole page
    odd = client.get(reverse("calendar"), {"first": "32.13.", "whose": "nobody"})
    assert odd.status_code == 200
