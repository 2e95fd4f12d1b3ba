"""The house whose doors are tried: the demo, what it lacks, and one visitor of each kind."""

from datetime import date
from typing import Final
from uuid import UUID

from django.apps import apps
from django.test import Client
from django.utils import timezone

from lifecycle.actions.demo import load_demo
from lifecycle.process.stages import Role
from lifecycle.process.words import HoldKind, ListAnswer
from lifecycle.records.models import (
    ConditionReport,
    DeputyTerm,
    GuestPass,
    Hold,
    Incident,
    IncidentObject,
    LitException,
    LitTimetable,
    MuseumObject,
    Person,
    Place,
    RequestLine,
    RequestList,
    Showing,
    StandingConsent,
    Vocabulary,
    Waiver,
    Work,
    WorkKind,
    WorkState,
)
from tests.builders.core import kept_by, make_person, make_word
from tests.builders.printing import printed

NOBODY: Final = "nobody"
GUESTS: Final = frozenset({Role.COURIER, Role.LENDER})
NO_RECORD: Final = UUID("00000000-0000-4000-8000-000000000000")


def newest(table: str) -> UUID:
    """The uid of one row of a table, of one kind behind “/”; of no record where there is none."""
    table, _, kind = table.partition("/")
    try:
        model = apps.get_model("records", table)
    except LookupError:
        return NO_RECORD
    rows = model._default_manager.order_by("pk")
    if kind:
        rows = rows.filter(kind=kind)
    if table == "person":
        rows = rows.exclude(account=None)
    row = rows.first()
    return row.uid if row is not None else NO_RECORD


def visitors() -> dict[str, Client]:
    """One client for each role, held by somebody of no job, gallery or exhibition; and nobody."""
    clients = {NOBODY: Client(raise_request_exception=False)}
    for role in Role:
        person = make_person(*([] if role in GUESTS else [role]))
        if role in GUESTS:
            _give_pass(person, role)
        assert person.account is not None
        client = clients[role.value] = Client(raise_request_exception=False)
        client.force_login(person.account)
    return clients


def _give_pass(person: Person, role: Role) -> None:
    lent = MuseumObject.objects.exclude(lender=None).order_by("-pk").first()
    assert lent is not None
    assert lent.lender is not None
    row = GuestPass(
        person=person,
        role=role,
        organisation=lent.lender,
        from_on=date(2020, 1, 1),
        until_on=date(2099, 1, 1),
    ).keep(**kept_by())
    row.museum_objects.set([lent])


def set_the_scene() -> dict[str, Client]:
    """The demo as it stands today with what it lacks, and one visitor of each kind."""
    load_demo(on=timezone.localdate())
    _add_what_the_demo_lacks()
    return visitors()


def _add_what_the_demo_lacks() -> None:
    """Rows whose doors are tried too: a deputy, a hold, a waiver, an incident, a print and more."""
    showing = Showing.objects.order_by("pk").first()
    first, second = Person.objects.exclude(account=None).order_by("pk")[:2]
    assert showing is not None
    moment, day = timezone.now(), timezone.localdate()
    place = showing.place or Place.objects.order_by("pk").first()
    DeputyTerm(for_person=first, deputy=second, role=Role.CURATOR, from_on=day, until_on=day).keep(
        **kept_by()
    )
    Hold(
        museum_object=showing.museum_object,
        kind=HoldKind.UNCLEAR_FINDING,
        reason="Looked at.",
        placed_by=first,
        placed_role=Role.CONSERVATOR,
        placed_at=moment,
    ).keep(**kept_by())
    Waiver(
        showing=showing,
        code="mount.fit",
        text="The mount is not tried.",
        by=first,
        role=Role.CONSERVATOR,
        at=moment,
        reason="Tried on the day.",
    ).keep(**kept_by())
    incident = Incident(
        incident_no="IN-9999",
        kind=make_word(Vocabulary.INCIDENT_KIND, "other"),
        discovered_at=moment,
        reported_at=moment,
        reporter=first,
        reporter_role=Role.CONSERVATOR,
        place=place,
        circumstances="Dust on the glass.",
    ).keep(**kept_by())
    IncidentObject(incident=incident, museum_object=showing.museum_object).keep(**kept_by())
    report = ConditionReport.objects.order_by("pk").first()
    registrar = Person.objects.filter(roles__role=Role.REGISTRAR).order_by("pk").first()
    printed(report, by=registrar, role=Role.REGISTRAR, at=moment)
    _add_consent_lists_and_work(showing, first)


def _add_consent_lists_and_work(showing: Showing, by: Person) -> None:
    """A standing consent, a list of requests, a day of other hours, tables brought in."""
    moment, day = timezone.now(), timezone.localdate()
    StandingConsent(
        standing_no="SC-9999",
        object_type=showing.museum_object.object_type,
        limits="Dusting with a soft brush alone.",
        from_on=day,
        until_on=day,
        written_by=by,
        written_at=moment,
    ).keep(**kept_by())
    said = {"by": by, "role": Role.CURATOR, "at": moment}
    asked = RequestList.objects.create(
        exhibition=showing.exhibition, source="pasted", text="HCM.0.0", **said
    )
    RequestLine.objects.create(
        request_list=asked,
        number=1,
        object_number="HCM.0.0",
        answer=ListAnswer.NOT_FOUND,
        because="No object has the number HCM.0.0.",
        **said,
    )
    lamps = LitTimetable.objects.order_by("pk").first()
    assert lamps is not None
    LitException(timetable=lamps, on=day, dark=True, reason="A power cut.").keep(**kept_by())
    for kind, inputs in (
        (WorkKind.TAKE_OVER, {"exhibition": str(showing.exhibition.uid), "lines": []}),
        (WorkKind.IMPORT_OBJECTS, {"name": "objects.csv", "headings": [], "keys": []}),
    ):
        Work.objects.create(
            kind=kind,
            key=f"{kind}/tried",
            state=WorkState.DONE,
            asked_at=moment,
            ended_at=moment,
            asked_by=by,
            inputs=inputs,
        )
