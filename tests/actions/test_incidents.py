"""Incidents: anybody starts one, the object is held, closing asks for everything it needs."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from lifecycle.actions.incidents import (
    Completion,
    Happening,
    add_statement,
    close_incident,
    complete_incident,
    start_incident,
    tell,
)
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import ReportKind
from lifecycle.records.models import Hold, Incident, IncidentStatement, Showing, Vocabulary
from lifecycle.records.models.incidents import IncidentSeverity, ToldWhom
from tests.actions.test_loans import lent_object
from tests.builders.core import (
    make_exhibition,
    make_face,
    make_object,
    make_person,
    make_place,
    make_word,
)
from tests.builders.display import Crew, make_crew, planned_showing, put_at, signed_report

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 7, 20, 11, 0, tzinfo=UTC)
FOUND = NOW - timedelta(minutes=20)


def happening(**values: Any) -> Happening:
    said: dict[str, Any] = {
        "kind": make_word(Vocabulary.INCIDENT_KIND, "slip"),
        "discovered_at": FOUND,
        "circumstances": "The sheet has slipped on its mount by about a centimetre.",
    }
    return Happening(**(said | values))


def started(crew: Crew, **values: Any) -> Incident:
    if not values.get("objects") and not values.get("place"):
        values["objects"] = [make_object()]
    return start_incident(
        by=crew.conservator, role=Role.CONSERVATOR, at=NOW, said=happening(**values)
    )


def test_an_incident_has_a_day_of_finding_and_a_day_of_reporting() -> None:
    crew = make_crew()
    row = started(crew)
    assert (row.discovered_at, row.reported_at) == (FOUND, NOW)
    assert (row.reporter, row.reporter_role) == (crew.conservator, "conservator")


def test_the_object_is_held_and_its_showing_named() -> None:
    crew = make_crew()
    showing = put_at(planned_showing(make_exhibition(), None), Stage.ON_DISPLAY)
    row = started(crew, objects=[showing.museum_object])
    hold = Hold.objects.get()
    assert (hold.museum_object, hold.kind) == (showing.museum_object, "incident")
    assert row.incident_no in hold.reason
    assert row.lines.get().showing == Showing.objects.get(pk=showing.pk)


@pytest.mark.parametrize(
    "role",
    [
        Role.CONSERVATOR,
        Role.CURATOR,
        Role.REGISTRAR,
        Role.MOUNT_MAKER,
        Role.PHOTOGRAPHER,
        Role.TECHNICIAN,
        Role.ATTENDANT,
        Role.EXHIBITION_MANAGER,
        Role.HEAD_OF_COLLECTIONS,
        Role.STEWARD,
    ],
)
def test_everybody_who_works_here_starts_one(role: Role) -> None:
    make_crew()
    row = start_incident(
        by=make_person(role), role=role, at=NOW, said=happening(objects=[make_object()])
    )
    assert row.reporter_role == role.value


def test_a_courier_without_a_pass_does_not() -> None:
    make_crew()
    with pytest.raises(NotAllowed):
        start_incident(
            by=make_person(Role.COURIER),
            role=Role.COURIER,
            at=NOW,
            said=happening(objects=[make_object()]),
        )


@pytest.mark.parametrize(
    ("gap", "code"),
    [
        ({"circumstances": " "}, "incident.words"),
        ({"discovered_at": NOW + timedelta(minutes=1)}, "incident.future"),
        ({"happened_from": NOW}, "incident.span"),
        (
            {
                "happened_from": FOUND - timedelta(hours=1),
                "happened_to": FOUND - timedelta(hours=2),
            },
            "incident.span",
        ),
    ],
)
def test_each_impossible_report_is_refused(gap: dict[str, Any], code: str) -> None:
    crew = make_crew()
    with pytest.raises(Refused) as refused:
        started(crew, **gap)
    assert code in {r.code for r in refused.value.reasons}
    assert not Incident.objects.exists()
    assert not Hold.objects.exists()


def test_it_is_about_an_object_or_a_place() -> None:
    crew = make_crew()
    with pytest.raises(Refused, match="Name the object or the place"):
        start_incident(by=crew.conservator, role=Role.CONSERVATOR, at=NOW, said=happening())
    with pytest.raises(Refused, match="no face of the objects"):
        started(crew, objects=[make_object()], faces=[make_face()])
    assert started(crew, place=make_place()).lines.count() == 0


def complete(crew: Crew, row: Incident, **values: Any) -> Incident:
    said: dict[str, Any] = {
        "made_safe_what": "Laid flat in its tray.",
        "made_safe_at": NOW,
        "severity": IncidentSeverity.NO_CHANGE_SEEN,
        "cause": "not known",
    }
    return complete_incident(
        by=crew.conservator,
        role=Role.CONSERVATOR,
        at=NOW,
        incident=row,
        said=Completion(**(said | values)),
    )


def close(crew: Crew, row: Incident) -> Incident:
    return close_incident(by=crew.conservator, role=Role.CONSERVATOR, at=NOW, incident=row)


def test_closing_says_everything_that_is_missing_at_once() -> None:
    crew = make_crew()
    row = started(crew, objects=[lent_object()])
    with pytest.raises(Refused) as refused:
        close(crew, row)
    assert {r.code for r in refused.value.reasons} == {
        "incident.safe",
        "incident.severity",
        "incident.cause",
        "incident.lender",
    }


def test_a_loss_needs_a_signed_report_and_the_lender_told() -> None:
    crew = make_crew()
    thing = lent_object()
    row = started(crew, objects=[thing])
    complete(crew, row, severity=IncidentSeverity.LOSS_OR_PERMANENT)
    with pytest.raises(Refused) as refused:
        close(crew, row)
    assert {r.code for r in refused.value.reasons} == {"incident.report", "incident.lender"}
    tell(
        by=crew.registrar,
        role=Role.REGISTRAR,
        at=NOW,
        incident=row,
        whom=ToldWhom.OWNER_OR_LENDER,
        name="Lev Ardmore",
        how="by telephone",
        told_at=NOW,
    )
    showing = planned_showing(make_exhibition(), None, museum_object=thing)
    report = signed_report(crew, showing, ReportKind.INCIDENT, NOW, make_face(thing))
    complete(crew, row, severity=IncidentSeverity.LOSS_OR_PERMANENT, condition_report=report)
    assert close(crew, row).closed_by == crew.conservator


def test_a_report_of_another_object_does_not_belong_here() -> None:
    crew = make_crew()
    row = started(crew)
    other = planned_showing(make_exhibition(), None)
    report = signed_report(crew, other, ReportKind.INCIDENT, NOW)
    with pytest.raises(Refused, match="about another object"):
        complete(crew, row, condition_report=report)


def test_made_safe_lies_between_finding_and_now_and_has_words() -> None:
    crew = make_crew()
    row = started(crew)
    for gap in (
        {"made_safe_at": FOUND - timedelta(hours=1)},
        {"made_safe_at": NOW + timedelta(hours=1)},
        {"made_safe_what": " "},
    ):
        with pytest.raises(Refused):
            complete(crew, row, **gap)


def test_a_closed_incident_takes_nothing_more() -> None:
    crew = make_crew()
    row = started(crew)
    complete(crew, row)
    close(crew, row)
    with pytest.raises(Refused, match="is closed"):
        add_statement(
            by=crew.registrar,
            role=Role.REGISTRAR,
            at=NOW,
            incident=row,
            person=crew.registrar,
            text="I saw it too.",
        )
    with pytest.raises(Refused, match="is closed"):
        close(crew, row)
    assert not IncidentStatement.objects.exists()


@pytest.mark.parametrize(
    "gap", [{"name": " "}, {"how": " "}, {"told_at": FOUND - timedelta(days=1)}]
)
def test_who_was_told_has_a_name_a_way_and_a_possible_time(gap: dict[str, Any]) -> None:
    crew = make_crew()
    row = started(crew)
    said: dict[str, Any] = {"name": "Wen Castellane", "how": "in person", "told_at": NOW}
    with pytest.raises(Refused):
        tell(
            by=crew.registrar,
            role=Role.REGISTRAR,
            at=NOW,
            incident=row,
            whom=ToldWhom.CURATOR,
            **(said | gap),
        )


def test_only_a_conservator_completes_and_closes() -> None:
    crew = make_crew()
    row = started(crew)
    with pytest.raises(NotAllowed):
        close_incident(by=crew.registrar, role=Role.REGISTRAR, at=NOW, incident=row)
