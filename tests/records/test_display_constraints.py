"""The database itself refuses what display, movements, loans and incidents must never hold."""

from datetime import date
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction

from lifecycle.records.models import (
    AppointmentChange,
    Incident,
    IncidentObject,
    LoanExtension,
    LoanObject,
)
from tests.builders.core import kept_by, make_object
from tests.builders.display import face_of
from tests.builders.display_rows import (
    AT,
    EARLIER,
    LATER,
    Ground,
    Make,
    assessment,
    card,
    check,
    clause,
    day,
    down,
    incident,
    leave,
    line,
    pass_on,
    period,
    take_over,
    told,
    turn,
    twice,
    whole_check,
    withdrawal,
)

pytestmark = pytest.mark.django_db

REFUSED: dict[str, Make] = {
    "period: two open of one object": lambda g: twice(period, place=g.other_place)(g),
    "period: two open in one position": lambda g: twice(
        period, museum_object=g.second.museum_object, showing=g.second, face=face_of(g.second)
    )(g),
    "period: closed before it opened": lambda g: period(g, closed_at=EARLIER),
    "period: struck without a reason": lambda g: period(g, struck_at=LATER),
    "period: opened by something else": lambda g: period(g, opened_by="magic"),
    "check: one person twice": lambda g: check(g, person_2=g.one),
    "check: two open of one showing": lambda g: twice(check)(g),
    "check: deviation that nobody accepted": lambda g: check(g, deviation="Other way."),
    "check: closed without photograph": lambda g: whole_check(g, picture=None),
    "check: closed without lux": lambda g: whole_check(g, lux=None),
    "check: closed without uv": lambda g: whole_check(g, uv=None),
    "check: closed upside down": lambda g: whole_check(g, way_up_right=False),
    "check: closed with another face": lambda g: whole_check(g, face_right=False),
    "check: closed with mount under stress": lambda g: whole_check(g, mount_fits=False),
    "check: closed without tag": lambda g: whole_check(g, matches_tag=False),
    "check: closed with wrong caption": lambda g: whole_check(g, caption="wrong"),
    "check: closed without arrival": lambda g: whole_check(g, arrival=""),
    "check: closed before it began": lambda g: whole_check(g, closed_at=EARLIER),
    "check: unknown arrival": lambda g: check(g, arrival="fine"),
    "day: one person twice": lambda g: day(g, person_2=g.one),
    "day: turn without faces": lambda g: day(g, kind="turn"),
    "day: turn to the same face": lambda g: day(g, kind="turn", from_face=g.face, to_face=g.face),
    "day: swap without another": lambda g: day(g, kind="swap", to_face=g.face),
    "day: swap with itself": lambda g: day(g, kind="swap", to_face=g.face, other_showing=g.showing),
    "day: done without a moment": lambda g: day(g, state="done"),
    "day: a moment without done": lambda g: day(g, done_at=AT),
    "day: called off without why": lambda g: day(g, state="cancelled"),
    "day: unknown state": lambda g: day(g, state="lost"),
    "day: the same twice": lambda g: twice(day, appointment_no="AP-2")(g),
    "change: without a reason": lambda g: AppointmentChange(
        appointment=day(g),
        old_day=date(2026, 3, 1),
        new_day=date(2026, 3, 2),
        reason="",
        agreed_by=g.one,
        by=g.one,
        at=AT,
    ).append(),
    "turn: one person twice": lambda g: turn(g, person_2=g.one),
    "turn: unplanned without reason": lambda g: turn(g, reason=""),
    "turn: done without face or light": lambda g: turn(g, done_at=LATER),
    "turn: ended without why": lambda g: turn(g, ended_at=LATER),
    "turn: two open of one showing": lambda g: twice(turn, turn_no="TN-2")(g),
    "down: no lux and no why": lambda g: down(g, last_lux=None),
    "down: early without why": lambda g: down(g, early=True),
    "down: emergency without part A to come": lambda g: down(g, emergency=True),
    "down: one person twice": lambda g: down(g, second_person=g.one),
    "down: twice": lambda g: twice(down)(g),
    "down: unknown find": lambda g: down(g, found="gone"),
    "assessment: version twice": lambda g: twice(assessment)(g),
    "assessment: temperature upside down": lambda g: assessment(g, t_min_c=25, t_max_c=16),
    "assessment: humidity upside down": lambda g: assessment(g, rh_min=60, rh_max=40),
    "assessment: unknown fitness": lambda g: assessment(g, fit_for_display="maybe"),
    "assessment: signed by half": lambda g: assessment(g, digest="e" * 64),
    "taken over: light out of order": lambda g: take_over(g, light_likely_lx_h=9),
    "taken over: report and none known": lambda g: take_over(g, last_report="1998/4"),
    "taken over: neither": lambda g: take_over(g, no_report_known=False),
    "taken over: span out of order": lambda g: take_over(g, since_from=AT, since_to=EARLIER),
    "withdrawn: no reason": lambda g: withdrawal(g, reason=""),
    "withdrawn: object unnamed": lambda g: withdrawal(g, substitute_kind="object"),
    "withdrawn: facsimile unnamed": lambda g: withdrawal(g, substitute_kind="facsimile"),
    "passed on: to itself": lambda g: pass_on(g, to_showing=g.showing),
    "passed on: in nothing": lambda g: pass_on(g, travel_housing=""),
    "movement: nowhere": lambda g: g.make_movement(movement_no="MV-2", to_place=g.place),
    "movement: nobody": lambda g: g.make_movement(movement_no="MV-2", people_needed=0),
    "movement: released unauthorised": lambda g: g.make_movement(
        movement_no="MV-2", left_at=AT, handed_over_by=g.one
    ),
    "movement: received before release": lambda g: g.make_movement(
        movement_no="MV-2",
        authorised_by=g.one,
        authorised_at=EARLIER,
        left_at=AT,
        handed_over_by=g.one,
        arrived_at=EARLIER,
        received_by=g.two,
    ),
    "movement: received and never released": lambda g: g.make_movement(
        movement_no="MV-2", arrived_at=AT, received_by=g.two
    ),
    "movement: confirmed without a way": lambda g: g.make_movement(
        movement_no="MV-2", arrival_confirmed_at=AT, arrival_confirmed_by=g.one
    ),
    "movement: called off without why": lambda g: g.make_movement(
        movement_no="MV-2", cancelled_at=AT
    ),
    "movement: number twice": lambda g: g.make_movement(),
    "line: object twice on one way": lambda g: twice(line, open=False)(g),
    "line: object on two ways": lambda g: twice(line, movement=g.make_movement(movement_no="MV-2"))(
        g
    ),
    "card: lifted by nobody": lambda g: card(g, lifted_at=LATER),
    "card: lifted before it was left": lambda g: card(g, lifted_at=EARLIER, lifted_by=g.one),
    "card: two in one gap": lambda g: twice(card, card_no="MV-1-2")(g),
    "loan: ends before it starts": lambda g: g.make_loan(
        agreement_no="L2", ends_on=date(2025, 1, 1)
    ),
    "loan: exit by nobody": lambda g: g.make_loan(agreement_no="L2", exit_authorised_at=AT),
    "loan: receipt by nobody": lambda g: g.make_loan(agreement_no="L2", receipt_signed_at=AT),
    "loan: number twice": lambda g: g.make_loan(),
    "loan: unknown state": lambda g: g.make_loan(agreement_no="L2", state="lost"),
    "loan: object twice": lambda g: twice(
        lambda g: LoanObject(loan=g.loan, museum_object=g.thing).keep(**kept_by())
    )(g),
    "extension: not later": lambda g: LoanExtension(
        loan=g.loan,
        old_end=date(2026, 9, 1),
        new_end=date(2026, 9, 1),
        agreed_on=date(2026, 3, 1),
        reason="x",
        by=g.one,
        at=AT,
    ).append(),
    "clause: about nothing": lambda g: clause(g, loan=None),
    "clause: without its bound": lambda g: clause(g, high=None),
    "clause: between, without the upper bound": lambda g: clause(
        g, operator="between", low=Decimal(40), high=None
    ),
    "clause: bounds upside down": lambda g: clause(
        g, operator="between", low=Decimal(60), high=Decimal(40)
    ),
    "clause: waived without writing": lambda g: clause(g, state="waived_in_writing"),
    "clause: unknown parameter": lambda g: clause(g, parameter="smell"),
    "leave: answered before asked": lambda g: leave(g, answer="given", answered_at=EARLIER),
    "leave: answered without a moment": lambda g: leave(g, answer="given"),
    "leave: asked twice": lambda g: twice(leave)(g),
    "incident: reported before found": lambda g: incident(g, reported_at=EARLIER),
    "incident: span out of order": lambda g: incident(g, happened_from=AT, happened_to=EARLIER),
    "incident: closed unfinished": lambda g: incident(g, closed_at=AT, closed_by=g.one),
    "incident: object twice": lambda g: twice(
        lambda g: IncidentObject(
            incident=Incident.objects.first() or incident(g), museum_object=g.thing
        ).keep(**kept_by())
    )(g),
    "incident: told nobody known": told,
}


@pytest.mark.parametrize("name", sorted(REFUSED))
def test_the_database_refuses(name: str) -> None:
    ground = Ground()
    with pytest.raises(IntegrityError), transaction.atomic():
        REFUSED[name](ground)


LAWFUL: dict[str, Make] = {
    "a period that is closed and another open": lambda g: (
        period(g, closed_at=LATER),
        period(g, opened_at=LATER),
    )[1],
    "a struck period beside an open one": lambda g: (
        period(g, struck_at=LATER, struck_reason="Wrong."),
        period(g),
    )[1],
    "a whole check": whole_check,
    "a turn": turn,
    "a take-down": down,
    "an assessment": assessment,
    "taken over": take_over,
    "a withdrawal": withdrawal,
    "passed on": pass_on,
    "a card": card,
    "a clause": clause,
    "a leave": leave,
    "an incident": incident,
    "a line": line,
}


@pytest.mark.parametrize("name", sorted(LAWFUL))
def test_the_lawful_row_beside_it_is_kept(name: str) -> None:
    """Without this a builder that is broken would make every refusal above look right."""
    assert LAWFUL[name](Ground()).pk
    assert make_object().pk
