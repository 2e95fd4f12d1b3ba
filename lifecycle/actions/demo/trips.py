"""Walks each demo object as far as its row says, in the order in which it would have happened.

Every moment is worked back from the exhibition's install days, so that the same walk serves the
exhibition that is open and the one that is being prepared.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from lifecycle.actions.demo import (
    asking,
    hanging,
    leaving,
    lending,
    preparing,
    treated,
    treating,
)
from lifecycle.actions.demo.cast import Cast
from lifecycle.actions.demo.plans import LETTER, PLANS, PLATE
from lifecycle.actions.moves import make_move
from lifecycle.process.stages import LINE, Stage
from lifecycle.process.words import FitForDisplay
from lifecycle.records.models import Exhibition, Loan, Showing

WEEK = timedelta(weeks=1)
ASKED_BEFORE = 28
"""Weeks between the request and the first install day."""


@dataclass(kw_only=True)
class Trip:
    """One row of the fixtures with what it needs to be walked."""

    cast: Cast
    row: Mapping[str, Any]
    exhibition: Exhibition
    loan: Loan | None
    today: date
    slot: int
    """The place in the list: two trips of one day don't happen in the same minute."""
    latest: datetime | None = None

    @property
    def goal(self) -> Stage:
        return Stage(self.row["reaches"])

    def at(self, weeks_before: float, hour: int) -> datetime:
        """So many weeks before install begins, in this trip's own minute, never going back.

        Before an exhibition that still lies ahead the weeks are drawn together, so that a trip has
        come as far today as its row says.
        """
        begun = self.exhibition.install_from - ASKED_BEFORE * WEEK
        ended = min(self.exhibition.install_from, self.today - timedelta(days=2))
        share = (ASKED_BEFORE - weeks_before) / ASKED_BEFORE
        day = begun + timedelta(days=int((ended - begun).days * share))
        if day.weekday() > 4:
            day -= timedelta(days=day.weekday() - 4)
        moment = self.cast.moment(day, hour, self.slot * 3 % 60)
        if self.latest is not None:
            moment = max(moment, self.latest + timedelta(hours=4))
        self.latest = moment
        return moment

    @property
    def down(self) -> date:
        """The day on which what has come down already came down."""
        return self.today - timedelta(days=9)

    def lies_past(self, stage: Stage) -> bool:
        """Whether the goal lies at ``stage`` or beyond it on the line of stages."""
        if self.goal not in LINE:
            return False
        return LINE.index(self.goal) >= LINE.index(stage)


def walk(trip: Trip) -> Showing:
    """Walk one showing to its goal."""
    cast, row = trip.cast, trip.row
    if trip.goal is Stage.SELECTION:
        lately = cast.moment(trip.today - timedelta(days=3), 10)
        return asking.ask(cast, row, trip.exhibition, lately, trip.loan)
    showing = asking.ask(cast, row, trip.exhibition, trip.at(28, 10), trip.loan)
    if trip.goal is Stage.DECLINED:
        asking.say_no(cast, showing, trip.at(27, 9))
        return showing
    asking.answer(cast, showing, trip.at(27, 9), because="The light account allows it.")
    if trip.loan is not None:
        lending.leave(cast, showing, trip.at(26, 9))
    asking.take_in(cast, showing, trip.at(24, 9))
    asking.examine(cast, showing, trip.at(22, 14))
    if trip.goal is Stage.EXAMINATION:
        if row.get("proposal"):
            asking.assess(cast, showing, trip.at(21, 9), fit=FitForDisplay.AFTER_TREATMENT)
            treating.propose(cast, showing, trip.at(21, 11))
        return showing
    if trip.goal is Stage.TREATMENT:
        treat(trip, showing)
        return showing
    asking.assess(cast, showing, trip.at(21, 9))
    if "treatment" in row:
        treat(trip, showing)
    else:
        move(trip, showing, "no_treatment_needed", trip.at(20, 9))
    prepare(trip, showing)
    if trip.goal is Stage.MOUNTING:
        return showing
    move(trip, showing, "declare_ready", trip.at(0.3, 16))
    if trip.goal is Stage.READY:
        return showing
    show(trip, showing)
    if trip.lies_past(Stage.DEINSTALL_CHECK):
        down = cast.moment(trip.down, 10, trip.slot * 3 % 60)
        leaving.bring_down(cast, showing, down, row["lux"][-1], why=row["early"])
        if trip.lies_past(Stage.REHOUSING):
            leaving.check_at_bench(cast, showing, down + timedelta(days=4))
            leaving.order_housing(cast, showing, down + timedelta(days=5))
        if trip.goal is Stage.RETURNED:
            leaving.go_home(cast, showing, down + timedelta(days=7))
    return showing


def treat(trip: Trip, showing: Showing) -> None:
    """Proposed, consented, begun; the plate alone is treated to its end."""
    cast = trip.cast
    plan = PLANS[trip.row.get("treatment", "edge")]
    proposal = treating.propose(cast, showing, trip.at(21, 11), plan, starts_in=3)
    treating.consent(cast, proposal, trip.at(20, 10), plan)
    move(trip, showing, "begin_treatment", trip.at(19, 9), limits_read=True)
    if plan is LETTER:
        treated.treat_letter(cast, proposal, trip.at(19, 14))
    elif plan is PLATE:
        treated.treat_plate(cast, proposal, trip.at(19, 14))
        treated.report_on_plate(cast, proposal, trip.at(18, 9))
        move(trip, showing, "finish_treatment", trip.at(18, 14))
        treated.call_back(cast, proposal, trip.today)
    else:
        treating.first_step(cast, proposal, trip.at(19, 15))


def move(trip: Trip, showing: Showing, name: str, at: datetime, **more: Any) -> None:
    make_move(showing_id=showing.pk, move=name, **trip.cast.acting("marit", at), **more)
    showing.refresh_from_db()


def prepare(trip: Trip, showing: Showing) -> None:
    """Everything that is made; a trip that stops at mounting stops half-way through it."""
    cast, half_way = trip.cast, trip.goal is Stage.MOUNTING
    faces = preparing.faces_of(showing)
    if len(faces) > 1:
        for face in faces:
            preparing.facsimile(cast, showing, face, trip.at(18, 10))
    for face in faces:
        if half_way:
            preparing.begin(cast, showing, face, trip.at(8, 11))
        else:
            preparing.mount(cast, showing, face, trip.at(12, 9))
    preparing.caption(cast, showing, trip.at(8, 15), with_facsimile=len(faces) > 1)
    if half_way:
        return
    preparing.case(cast, showing, trip.at(1.2, 9))
    preparing.light_proof(cast, showing, trip.at(0.8, 9), trip.row["lux"][0])
    preparing.route(cast, showing, trip.at(0.6, 9))


def show(trip: Trip, showing: Showing) -> None:
    """Installed in the install days, read every four weeks, looked at every week or two."""
    cast, row = trip.cast, trip.row
    day = trip.exhibition.install_from + timedelta(days=2 + trip.slot % 3)
    hanging.put_up(cast, showing, cast.moment(day, 9, trip.slot * 3 % 60), row["lux"][0])
    first, last = trip.exhibition.opens, trip.today
    if trip.lies_past(Stage.DEINSTALL_CHECK):
        last = trip.down  # nobody reads or looks at what has gone
    readings = days_between(first, last - timedelta(days=1), 26 + trip.slot % 3)
    if trip.slot % 4 == 3:
        readings = readings[:-1]  # one in four is overdue today
    hanging.read_along(cast, showing, readings, row["lux"][-1])
    looks = days_between(first + WEEK, last - timedelta(days=1 + trip.slot % 9), 13)
    notes = {looks[-1]: row["look_again"]} if "look_again" in row and looks else None
    hanging.look_along(cast, showing, looks, notes)
    if "turn" in row:
        asked = cast.moment(trip.today - timedelta(days=16), 11)
        hanging.plan_turn(cast, showing, row["turn"], asked)


def days_between(first: date, last: date, step: int) -> list[date]:
    """Every ``step`` days from ``first``, none after ``last``."""
    count = max(0, (last - first).days // step + 1)
    return [first + timedelta(days=step * number) for number in range(count)]
