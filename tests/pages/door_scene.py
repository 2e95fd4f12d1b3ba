"""The house whose doors are tried: the demo, what it lacks, and one visitor of each kind."""

from datetime import date
from typing import Final
from uuid import UUID

from django.apps import apps
from django.test import Client
from django.utils import timezone

from lifecycle.actions.demo import load_demo
from lifecycle.process.stages import Role
from lifecycle.process.words import HoldKind
from lifecycle.records.models import (
    ConditionReport,
    DeputyTerm,
    GuestPass,
    Hold,
    Incident,
    IncidentObject,
    MuseumObject,
    Person,
    Place,
    Showing,
    Vocabulary,
    Waiver,
)
from tests.builders.core import kept_by, make_person, make_word
from tests.builders.printing import printed

NOBODY: Final = "nobody"
GUESTS: Final = frozenset({Role.COURIER, Role.LENDER})
NO_RECORD: Final = UUID("00000000-0000-4000-8000-000000000000")


def newest(table: str) -> UUID:
    """The uid of one row of a table; one that no record has where the demo has none."""
    try:
        model = apps.get_model("records", table)
    except LookupError:
        return NO_RECORD
    rows = model._default_manager.order_by("pk")
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
    """A deputy, a hold, a waiver, an incident and a print: rows whose doors are tried too."""
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
