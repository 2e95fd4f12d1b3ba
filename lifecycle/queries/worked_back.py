"""The order in which faces go on show, and by when what is made for each is due; six queries."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Q

from lifecycle.process.days import day_words
from lifecycle.process.links import unplanned_install
from lifecycle.process.readiness import lead_in
from lifecycle.process.worked_back import (
    Due,
    Hidden,
    Lead,
    Period,
    facsimile_due,
    hidden_due,
    hidden_in,
    master_due,
    mount_due,
    periods_of,
    pictures_due,
)
from lifecycle.queries.days_off import rules_in_force
from lifecycle.queries.facts.rules import rules_of
from lifecycle.queries.rights import museum_day
from lifecycle.records.models import Appointment
from lifecycle.records.models.display.rotation import AppointmentKind
from lifecycle.records.models.preparation import (
    Facsimile,
    FacsimileState,
    ImagingPurpose,
    Mount,
)
from lifecycle.records.models.showings import FaceWanted, Showing


@dataclass(frozen=True, slots=True)
class Schedule:
    """When each face of a showing goes on show, and what follows from that."""

    periods: tuple[Period, ...]
    lead: Lead

    @property
    def hidden(self) -> tuple[Hidden, ...]:
        return tuple(hidden_in(self.periods))

    def facsimile(self, face_id: int) -> Due:
        return facsimile_due(face_id, self.periods, self.lead)

    def mount(self, face_ids: Sequence[int]) -> Due:
        return mount_due(face_ids, self.periods, self.lead)

    def pictures(self, purpose: ImagingPurpose, face_id: int) -> Due:
        """A master is worked back from the placing; other pictures from the install."""
        if purpose is ImagingPurpose.FACSIMILE_MASTER:
            return master_due(face_id, self.periods, self.lead)
        return pictures_due(self.periods, self.lead)


def schedule_of(showing: Showing, at: datetime) -> Schedule:
    """Return the periods of a showing as they are planned today, with the lead times in force."""
    wanted = list(
        FaceWanted.objects.filter(showing=showing, struck=False)
        .select_related("face")
        .order_by("order", "pk")
    )
    planned = Appointment.objects.filter(showing=showing).exclude(state="cancelled")
    turns: dict[int, date] = {}
    opens: date | None = None
    for row in planned.order_by("day", "pk"):
        if row.kind == AppointmentKind.INSTALL:
            opens = opens or row.day
        elif row.to_face_id is not None and row.other_showing_id is None:
            turns.setdefault(row.to_face_id, row.day)
    show = showing.exhibition
    if opens is None:
        opens = unplanned_install(
            wanted=showing.show_from, opens=show.opens, install_from=show.install_from
        )
    return Schedule(
        periods_of(
            list({row.face_id: row.face.label for row in wanted}.items()),
            opens=opens,
            turns=turns,
            wanted={row.face_id: row.from_on for row in wanted},
        ),
        _lead(showing, at),
    )


def mount_needed(mount: Mount, faces: Sequence[int], plan: Schedule | None) -> Due:
    """By when a mount fits: the day named on its ticket, or else the one its plan leads to.

    :param faces: database ids of the faces it is made for
    :param plan: of its showing, None for a mount of no showing
    """
    return _named_or(mount.needed_by, plan.mount(faces) if plan else None)


def facsimile_needed(row: Facsimile, plan: Schedule | None) -> Due:
    """By when a facsimile is delivered: the day that was named, or else the one of its plan."""
    return _named_or(row.needed_by, plan.facsimile(row.of_face_id) if plan else None)


def _named_or(named: date | None, due: Due | None) -> Due:
    """The day to show, and what the plan says where that is not the day that was named.

    >>> _named_or(date(2026, 3, 2), Due(date(2026, 2, 9), "A is installed.")).because
    'By the plan it is Mon 9 Feb 2026. A is installed.'
    """
    if due is None or named is None:
        return Due(named, "") if due is None else due
    if due.on in (None, named):
        return Due(named, due.because)
    return Due(named, f"By the plan it is {day_words(due.on)}. {due.because}")


def _lead(showing: Showing, at: datetime) -> Lead:
    house = rules_in_force(museum_day(at))
    return lead_in(rules_of([showing.exhibition_id], house)[showing.exhibition_id])


@dataclass(frozen=True, slots=True)
class StandIn:
    """A face that is hidden while another is shown, its facsimile, and by when that is due."""

    hidden: Hidden
    facsimile: Facsimile | None
    due: Due
    late_by: int
    stands: bool
    """It is in the case."""


def stand_ins_of(showing: Showing, at: datetime) -> list[StandIn]:
    """Return, for each display period of the plan, what stands in for the faces it hides."""
    schedule, today = schedule_of(showing, at), museum_day(at)
    rows: dict[int, Facsimile] = {}
    kept = Q(of_face__museum_object=showing.museum_object_id, state=FacsimileState.KEPT)
    made = Facsimile.objects.filter(Q(showing=showing) | kept)
    made = made.exclude(state=FacsimileState.DESTROYED).order_by("pk")
    # What was made for this showing goes before what was kept from an earlier one.
    for copy in sorted(made, key=lambda row: row.showing_id == showing.pk):
        rows[copy.of_face_id] = copy
    found = []
    for hidden in schedule.hidden:
        row, due = rows.get(hidden.face_id), hidden_due(hidden, schedule.lead)
        there = row is not None and row.delivered_at is not None
        late = 0 if there or due.on is None else max(0, (today - due.on).days)
        stands = row is not None and row.state == FacsimileState.PLACED
        found.append(StandIn(hidden, row, due, late, stands))
    return found
