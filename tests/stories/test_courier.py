"""The courier's half hour, and what happens when the train leaves first.

A trace of humidity is a drawing of another part; here the readings are seen.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from lifecycle.process.stages import Role
from lifecycle.process.words import PlaceKind, ReportKind, SignMethod
from lifecycle.queries.today import today_of
from lifecycle.records.models import (
    GuestPass,
    Loan,
    LoanObject,
    MuseumObject,
    Organisation,
    Person,
    Place,
    Requirement,
    Showing,
    Signature,
)
from lifecycle.records.models.condition import ConditionReport, LeftUnsigned
from tests.builders.condition import PASSWORD, make_signed, picture_bytes
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
from tests.builders.light import hang, read_light

pytestmark = pytest.mark.django_db


def on(day: int, hour: int, minute: int = 0) -> datetime:
    return datetime(2026, 3, day, hour, minute, tzinfo=UTC)


@dataclass
class Visit:
    """The pastel in case N4 beside a plate of our own, on the day before the pass ends."""

    lev: Person
    josephine: Person
    case: Place
    pastel: MuseumObject
    plate: MuseumObject
    showing: Showing
    report: ConditionReport
    now: datetime

    def client(self, person: Person) -> Client:
        client = Client()
        assert person.account is not None
        client.force_login(person.account)
        return client


@pytest.fixture
def visit(monkeypatch: pytest.MonkeyPatch) -> Visit:
    make_museum()
    trust = Organisation(name="Saltmarsh Observatory Trust", kind="lender").keep(**kept_by())
    pastel = make_object(
        object_number="L2026.1",
        title="Squall over Hallin Water",
        owner_kind="lender",
        lender=trust,
    )
    plate = make_object(object_number="HCM.1922.7.1", title="Cloud study, plate 1")
    case = make_place("N4", PlaceKind.CASE)
    rain = make_exhibition()
    loan = Loan(
        agreement_no="SOT 2026/4",
        lender=trust,
        direction="in",
        starts_on=date(2026, 2, 1),
        ends_on=date(2026, 10, 1),
    ).keep(**kept_by())
    here = make_place("N4 a", parent=case)
    showing = make_showing(museum_object=pastel, exhibition=rain, place=here, loan=loan)
    hang(make_face(pastel), here, opened_at=on(12, 9), showing=showing)
    hang(make_face(plate), make_place("N4 b", parent=case), opened_at=on(12, 10))
    LoanObject(loan=loan, museum_object=pastel).keep(**kept_by())
    Requirement(
        loan=loan,
        source="lender_clause",
        text="At most 50 lx at the pastel.",
        parameter="lux",
        operator="at_most",
        high=50,
        evidence="readings",
    ).keep(**kept_by())
    marit = make_person(Role.CONSERVATOR, name="Marit Oldacre")
    read_light(case, "44", on(13, 9), by=marit)
    report = make_signed(pastel, kind=ReportKind.INCOMING, by=marit, at=on(3, 11), showing=showing)
    lev = make_person(name="Lev Ardmore", organisation=trust)
    given = GuestPass(
        person=lev,
        role=Role.COURIER,
        organisation=trust,
        from_on=date(2026, 3, 2),
        until_on=date(2026, 3, 16),
    ).keep(**kept_by())
    given.museum_objects.add(pastel)
    josephine = make_person(Role.REGISTRAR, name="Josephine Abara")
    there = Visit(lev, josephine, case, pastel, plate, showing, report, now=on(15, 15, 30))
    monkeypatch.setattr("lifecycle.pages.door.now", lambda: there.now)
    return there


def test_the_case_s_code_leads_the_courier_to_the_loan_and_to_nothing_else(visit: Visit) -> None:
    client = visit.client(visit.lev)
    found = client.get(reverse("find"), {"q": visit.case.code}, follow=True)
    page = found.content.decode()
    assert found.status_code == 200
    assert "L2026.1" in page
    assert "HCM.1922.7.1" not in page
    assert "Cloud study" not in page
    other = reverse("object", args=[visit.plate.uid])
    assert client.get(other).status_code == 403
    thing = client.get(reverse("object", args=[visit.pastel.uid])).content.decode()
    shown = client.get(reverse("showing", args=[visit.showing.uid])).content.decode()
    for word in (visit.report.report_no, "At most 50 lx at the pastel."):
        assert word in thing + shown
    light = client.get(reverse("readings", args=[visit.case.uid]))
    assert "44" in (light.content.decode() + shown)


def test_the_courier_countersigns_on_screen_as_courier(visit: Visit) -> None:
    client = visit.client(visit.lev)
    address = reverse("condition-countersign", args=[visit.report.uid])
    assert client.get(address).context["form"].initial["capacity"] == "courier"
    answer = client.post(address, {"capacity": "courier", "password": PASSWORD})
    assert answer.status_code == 302, answer.content.decode()
    signature = Signature.objects.get(person=visit.lev)
    assert (signature.role, signature.capacity) == (Role.COURIER, "courier")
    assert signature.digest == visit.report.digest


def test_who_leaves_before_signing_is_on_the_registrar_s_list_until_the_scan_is_in(
    visit: Visit,
) -> None:
    client = visit.client(visit.josephine)
    visit.now = on(15, 16, 20)
    left = {
        "person": str(visit.lev.uid),
        "capacity": "courier",
        "left_at": "2026-03-15T16:05",
        "because": "train",
    }
    address = reverse("condition-left-unsigned", args=[visit.report.uid])
    assert client.post(address, {**left, "because": " "}).status_code == 200
    assert not LeftUnsigned.objects.exists()
    answer = client.post(address, left)
    assert answer.status_code == 302, answer.content.decode()
    (line,) = [line for line in today_of(visit.josephine, visit.now) if "unsigned" in line.key]
    assert line.text == f"Get the signature of Lev Ardmore under {visit.report.report_no}."
    assert line.why == "Courier left 16:05 on Sun 15 Mar 2026, because train"
    page = client.get(reverse("condition-report", args=[visit.report.uid])).content.decode()
    assert "Lev Ardmore, courier, left" in page
    scan = SimpleUploadedFile("p1.jpg", picture_bytes(), "image/jpeg")
    sheet = {
        "capacity": "courier",
        "signed_on_paper_by": str(visit.lev.uid),
        "signed_at": "2026-03-15T16:10",
        "scan": scan,
    }
    countersign = reverse("condition-countersign", args=[visit.report.uid])
    answer = client.post(countersign, sheet)
    assert answer.status_code == 302, answer.content.decode()
    signature = Signature.objects.get(person=visit.lev)
    assert (signature.method, signature.read_back_by) == (SignMethod.ON_PAPER, visit.josephine)
    assert not [line for line in today_of(visit.josephine, visit.now) if "unsigned" in line.key]
    page = client.get(reverse("condition-report", args=[visit.report.uid])).content.decode()
    assert "left 15" not in page


def test_an_expired_pass_says_so_and_signs_nothing(visit: Visit) -> None:
    client = visit.client(visit.lev)
    visit.now = on(17, 9)
    address = reverse("condition-countersign", args=[visit.report.uid])
    answer = client.post(address, {"capacity": "courier", "password": PASSWORD})
    page = answer.content.decode()
    assert answer.status_code == 403
    assert "Your guest pass has ended" in page
    assert "Saltmarsh Observatory Trust" in page
    assert "16" in page
    assert "nothing was saved" in page
    assert not Signature.objects.filter(person=visit.lev).exists()
    assert client.get(address).status_code == 302  # and signed out
