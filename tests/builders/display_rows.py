"""Bare rows of display, movements, loans and incidents, for asking the database itself."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db import models

from lifecycle.process.stages import Role
from lifecycle.records.models import (
    Appointment,
    Assessment,
    DisplayPeriod,
    Incident,
    IncidentTold,
    InstallCheck,
    LenderLeave,
    Loan,
    Movement,
    MovementLine,
    Organisation,
    PassOn,
    Person,
    RemovalCard,
    Requirement,
    Showing,
    TakeDown,
    TakeOver,
    TurnRecord,
    Vocabulary,
    Withdrawal,
)
from tests.builders.core import (
    kept_by,
    make_class,
    make_exhibition,
    make_museum,
    make_person,
    make_place,
    make_word,
)
from tests.builders.display import a_picture, face_of, planned_showing

AT = datetime(2026, 3, 11, 9, 0, tzinfo=UTC)
LATER = AT + timedelta(hours=1)
EARLIER = AT - timedelta(hours=1)


class Ground:
    """Rows the refused row may point to."""

    def __init__(self) -> None:
        make_museum()
        self.place, self.other_place = make_place(), make_place()
        self.showing: Showing = planned_showing(make_exhibition(), self.place)
        self.second: Showing = planned_showing(self.showing.exhibition, None)
        self.face = face_of(self.showing)
        self.thing = self.showing.museum_object
        self.one: Person = make_person(Role.CONSERVATOR)
        self.two: Person = make_person(Role.TECHNICIAN)
        self.lender = Organisation(name="Trust", kind="lender").keep(**kept_by())
        self.loan = self.make_loan()
        self.movement = self.make_movement()

    def make_loan(self, **values: Any) -> Loan:
        said: dict[str, Any] = {
            "agreement_no": "L1",
            "lender": self.lender,
            "direction": "in",
            "starts_on": date(2026, 1, 1),
            "ends_on": date(2026, 9, 1),
        }
        return Loan(**(said | values)).keep(**kept_by())

    def make_movement(self, **values: Any) -> Movement:
        said: dict[str, Any] = {
            "movement_no": "MV-1",
            "from_place": self.place,
            "to_place": self.other_place,
            "reason": make_word(Vocabulary.MOVE_REASON, "install"),
        }
        return Movement(**(said | values)).keep(**kept_by())


Make = Callable[[Ground], models.Model]


def period(g: Ground, **v: Any) -> DisplayPeriod:
    said: dict[str, Any] = {
        "showing": g.showing,
        "museum_object": g.thing,
        "face": g.face,
        "place": g.place,
        "opened_by": "install",
        "opened_at": AT,
    }
    return DisplayPeriod(**(said | v)).keep(**kept_by())


def check(g: Ground, **v: Any) -> InstallCheck:
    said: dict[str, Any] = {
        "showing": g.showing,
        "face": g.face,
        "place": g.place,
        "person_1": g.one,
        "person_2": g.two,
        "begun_at": AT,
    }
    return InstallCheck(**(said | v)).keep(**kept_by())


def whole_check(g: Ground, **v: Any) -> InstallCheck:
    said: dict[str, Any] = {
        "matches_tag": True,
        "arrival": "same",
        "face_right": True,
        "way_up_right": True,
        "picture": a_picture(g.face, AT),
        "mount_fits": True,
        "lux": 44,
        "uv": 3,
        "caption": "right",
        "facsimile": "not_needed",
        "closed_at": AT,
    }
    return check(g, **(said | v))


def day(g: Ground, **v: Any) -> Appointment:
    said: dict[str, Any] = {
        "appointment_no": "AP-1",
        "kind": "install",
        "showing": g.showing,
        "day": date(2026, 3, 11),
        "place": g.place,
        "person_1": g.one,
        "person_2": g.two,
    }
    return Appointment(**(said | v)).keep(**kept_by())


def turn(g: Ground, **v: Any) -> TurnRecord:
    said: dict[str, Any] = {
        "turn_no": "TN-1",
        "showing": g.showing,
        "place": g.place,
        "from_face": g.face,
        "reason": "Half is over.",
        "person_1": g.one,
        "person_2": g.two,
        "started_at": AT,
    }
    return TurnRecord(**(said | v)).keep(**kept_by())


def down(g: Ground, **v: Any) -> TakeDown:
    said: dict[str, Any] = {
        "showing": g.showing,
        "place": g.place,
        "at": AT,
        "lamps_off_at": AT,
        "last_lux": 44,
        "found": "as_placed",
        "mount": "none",
        "facsimile": "none",
        "taken_down_by": g.one,
        "second_person": g.two,
        "handed_to": "the bench",
    }
    return TakeDown(**(said | v)).keep(**kept_by())


def assessment(g: Ground, **v: Any) -> Assessment:
    said: dict[str, Any] = {
        "showing": g.showing,
        "kind": "at_bench",
        "fit_for_display": "yes",
        "sensitivity_class": make_class(),
        "lux_ceiling": 50,
        "uv_ceiling": 10,
        "max_dose_lx_h": 70_000,
        "max_weeks": 26,
        "rotation_plan": "none",
        "look_every_days": 14,
        "reading_every_days": 28,
    }
    return Assessment(**(said | v)).keep(**kept_by())


def take_over(g: Ground, **v: Any) -> TakeOver:
    said: dict[str, Any] = {
        "showing": g.showing,
        "face": g.face,
        "place": g.place,
        "since_certainty": "day",
        "no_report_known": True,
        "light_low_lx_h": 1,
        "light_likely_lx_h": 2,
        "light_high_lx_h": 3,
        "light_basis": "lamp list",
        "registrar": g.one,
        "conservator": g.two,
        "at": AT,
    }
    return TakeOver(**(said | v)).append()


def withdrawal(g: Ground, **v: Any) -> Withdrawal:
    said: dict[str, Any] = {
        "showing": g.showing,
        "reason": "Too fragile.",
        "substitute_kind": "none_wanted",
        "back_at": g.place,
        "back_confirmed_by": g.one,
        "by": g.one,
        "role": "curator",
        "at": AT,
    }
    return Withdrawal(**(said | v)).append()


def pass_on(g: Ground, **v: Any) -> PassOn:
    said: dict[str, Any] = {
        "from_showing": g.showing,
        "to_showing": g.second,
        "movement": g.movement,
        "travel_housing": "Crate 4",
        "registrar": g.one,
        "conservator": g.two,
        "at": AT,
    }
    return PassOn(**(said | v)).append()


def line(g: Ground, **v: Any) -> MovementLine:
    said: dict[str, Any] = {"movement": g.movement, "museum_object": g.thing}
    return MovementLine(**(said | v)).keep(**kept_by())


def card(g: Ground, **v: Any) -> RemovalCard:
    said: dict[str, Any] = {
        "card_no": "MV-1-1",
        "movement": g.movement,
        "museum_object": g.thing,
        "place": g.place,
        "left_at": AT,
    }
    return RemovalCard(**(said | v)).keep(**kept_by())


def clause(g: Ground, **v: Any) -> Requirement:
    said: dict[str, Any] = {
        "loan": g.loan,
        "source": "lender_clause",
        "text": "At most 50 lx.",
        "parameter": "lux",
        "operator": "at_most",
        "high": Decimal(50),
        "evidence": "readings",
    }
    return Requirement(**(said | v)).keep(**kept_by())


def leave(g: Ground, **v: Any) -> LenderLeave:
    said: dict[str, Any] = {
        "showing": g.showing,
        "asked_of": g.lender,
        "asked_at": AT,
        "asked_by": g.one,
    }
    return LenderLeave(**(said | v)).keep(**kept_by())


def incident(g: Ground, **v: Any) -> Incident:
    said: dict[str, Any] = {
        "incident_no": "IN-1",
        "kind": make_word(Vocabulary.INCIDENT_KIND, "slip"),
        "discovered_at": AT,
        "reported_at": AT,
        "reporter": g.one,
        "reporter_role": "conservator",
        "circumstances": "It slipped.",
    }
    return Incident(**(said | v)).keep(**kept_by())


def twice(make: Callable[..., models.Model], **second: Any) -> Make:
    def both(g: Ground) -> models.Model:
        make(g)
        return make(g, **second)

    return both


def told(g: Ground, **v: Any) -> IncidentTold:
    said: dict[str, Any] = {
        "incident": incident(g),
        "whom": "nobody",
        "name": "x",
        "how": "x",
        "told_at": AT,
        "told_by": g.one,
        "entered_at": AT,
    }
    return IncidentTold(**(said | v)).append()
