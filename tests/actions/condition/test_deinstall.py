"""Part A at the case and part B at the bench: who writes them, and what they need."""

from datetime import timedelta
from typing import Any

import pytest

from lifecycle.actions.condition.completeness import reasons_against_signing
from lifecycle.actions.condition.deinstall import record_as_found, record_bench_check
from lifecycle.actions.condition.looking import add_light
from lifecycle.actions.condition.sign import countersign_report, sign_report
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.actions.signing import with_account
from lifecycle.process.stages import Role
from lifecycle.process.words import LightKind, ReportKind, SignCapacity
from lifecycle.queries.condition.overview import on_showing
from lifecycle.records.models import Face, Person
from lifecycle.records.models.condition import ConditionReport
from lifecycle.records.models.condition.words import AsPlaced, NextStep
from tests.builders.condition import PASSWORD, make_picture, make_signed, start_draft
from tests.builders.core import AT, make_face, make_person, make_showing

pytestmark = pytest.mark.django_db
LATER = AT + timedelta(days=200)


@pytest.fixture
def marit() -> Person:
    return make_person(Role.CONSERVATOR, name="Marit Oldacre")


@pytest.fixture
def face() -> Face:
    return make_face()


def doing(by: Person, **more: Any) -> dict[str, Any]:
    return {"by": by, "role": Role.CONSERVATOR, "at": AT, **more}


def codes(report: ConditionReport) -> list[str]:
    return [reason.code for reason in reasons_against_signing(report, at=LATER)]


def test_part_a_is_written_by_who_takes_down_and_countersigned_by_a_conservator(
    marit: Person, face: Face
) -> None:
    bram = make_person(Role.TECHNICIAN, name="Bram Oduya")
    showing = make_showing(museum_object=face.museum_object)
    report = start_draft(
        face.museum_object,
        by=bram,
        role=Role.TECHNICIAN,
        showing=showing,
        kind=ReportKind.DEINSTALL_AT_CASE,
    )
    as_bram: dict[str, Any] = {"by": bram, "role": Role.TECHNICIAN, "at": AT}
    hand = with_account(person=bram, role=Role.TECHNICIAN, password=PASSWORD)
    assert codes(report) == ["condition.compared", "condition.as_found"]
    report.none_known = "Taken over without a report."
    report.keep(role="", by=bram, why="test", at=AT)
    picture = make_picture(face)
    with pytest.raises(Refused, match="how it lies now"):
        record_as_found(report=report, as_placed=AsPlaced.SLIPPED, picture=picture, **as_bram)
    record_as_found(report=report, as_placed=AsPlaced.AS_PLACED, picture=picture, **as_bram)
    sign_report(report=report, hand=hand, at=AT)
    report.refresh_from_db()
    assert (report.signed, report.grade) == (True, "")
    assert on_showing(showing, LATER).reports[0].countersigned_same_day is False
    josephine = make_person(Role.REGISTRAR)
    registrar = with_account(person=josephine, role=Role.REGISTRAR, password=PASSWORD)
    with pytest.raises(Refused, match="countersigned by a conservator"):
        countersign_report(
            report=report, capacity=SignCapacity.COUNTERSIGNED, hand=registrar, at=AT
        )
    second = with_account(person=marit, role=Role.CONSERVATOR, password=PASSWORD)
    countersign_report(report=report, capacity=SignCapacity.COUNTERSIGNED, hand=second, at=AT)
    assert on_showing(showing, LATER).reports[0].countersigned_same_day is True


def test_a_second_part_a_of_one_showing_is_refused(marit: Person, face: Face) -> None:
    showing = make_showing(museum_object=face.museum_object)
    given: dict[str, Any] = {"kind": ReportKind.DEINSTALL_AT_CASE, "by": marit, "showing": showing}
    start_draft(face.museum_object, **given)
    with pytest.raises(Refused, match="already being written by Marit Oldacre"):
        start_draft(face.museum_object, **given)


def test_part_b_says_lights_and_next_step(marit: Person, face: Face) -> None:
    make_signed(face.museum_object, by=marit)
    showing = make_showing(museum_object=face.museum_object)
    report = start_draft(
        face.museum_object, by=marit, at=LATER, showing=showing, kind=ReportKind.DEINSTALL_AT_BENCH
    )
    assert "condition.bench_check" in codes(report)
    late = doing(marit, at=LATER)
    with pytest.raises(Refused, match="by whom"):
        record_bench_check(
            report=report, same_lights=True, next_step=NextStep.HOUSING, lender_told_at=AT, **late
        )
    record_bench_check(report=report, same_lights=False, next_step=NextStep.HOUSING, **late)
    assert "condition.same_lights" in codes(report)
    record_bench_check(report=report, same_lights=True, next_step=NextStep.HOUSING, **late)
    ticked = [r.text for r in reasons_against_signing(report, at=LATER) if r.field == "same_lights"]
    assert ticked == [
        f"“Same lights” is ticked, but {report.compared_with} was also examined in diffuse light: "
        "look in it too, or take out the tick and say why."
    ]
    add_light(report=report, light=LightKind.DIFFUSE, **late)
    assert not {"condition.bench_check", "condition.same_lights"} & set(codes(report))


def test_a_technician_may_not_write_part_b(face: Face) -> None:
    bram = make_person(Role.TECHNICIAN)
    with pytest.raises(NotAllowed):
        start_draft(
            face.museum_object,
            by=bram,
            role=Role.TECHNICIAN,
            showing=make_showing(museum_object=face.museum_object),
            kind=ReportKind.DEINSTALL_AT_BENCH,
        )
