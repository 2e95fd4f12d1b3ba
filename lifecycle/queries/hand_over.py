"""What somebody who leaves still has in hand, and which of it can be passed to whom by name.

Everything is read from the rows; the number of queries does not grow with them.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from types import MappingProxyType
from typing import Any, Final

from django.db import models
from django.db.models import Q, QuerySet

from lifecycle.process.days import day_words
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import ExhibitionState
from lifecycle.queries.people import running
from lifecycle.queries.rights import museum_day
from lifecycle.queries.today import drafts_of, today_of
from lifecycle.records.models import (
    Appointment,
    DeputyTerm,
    Exhibition,
    Movement,
    Person,
    Print,
    PrintReturn,
    PrintWriteOff,
    RoleAssignment,
)
from lifecycle.records.models.display.rotation import STILL_TO_COME
from lifecycle.records.models.preparation import (
    Caption,
    Facsimile,
    Housing,
    ImagingJob,
    Mount,
)

MOST: Final = 200
ALWAYS: Final = Q()
ENDED: Final = (Stage.RETURNED, Stage.DECLINED, Stage.WITHDRAWN)


@dataclass(frozen=True, slots=True)
class Held:
    """A kind of row that names a person in a field which may name somebody else tomorrow."""

    label: str
    model: type[models.Model]
    field: str
    still: Q
    words: Callable[[Any], str]
    related: tuple[str, ...]
    route: str
    uid: Callable[[Any], Any] = lambda row: row.uid
    many: bool = False
    beside: str = ""
    """The field that must name somebody else, where the row names two people."""

    def rows(self, person: Person) -> QuerySet[Any, Any]:
        """The rows of this kind that name the person and are not done."""
        found: QuerySet[Any, Any] = self.model._default_manager.filter(
            self.still, **{self.field: person}
        )
        return found.select_related(*self.related).order_by("pk")


def _preparation(label: str, model: type[models.Model], still: Q = ALWAYS) -> Held:
    """Work for a showing that is not over; what was made for no showing is nobody's task."""
    return Held(
        label=label,
        model=model,
        field="with_whom",
        still=still & Q(showing__isnull=False) & ~Q(showing__stage__in=ENDED),
        words=lambda row: (
            f"{row.showing.museum_object.object_number}, {row.showing.museum_object.title}, "
            f"for “{row.showing.exhibition.title}”"
        ),
        related=("showing__museum_object", "showing__exhibition"),
        route="showing",
        uid=lambda row: row.showing.uid,
    )


def _appointment(row: Appointment) -> str:
    object_number = row.showing.museum_object.object_number
    return f"{row.get_kind_display()} of {object_number} on {day_words(row.day)}"


_TO_COME: Final = Q(state__in=STILL_TO_COME)
_RUNNING: Final = ~Q(state=ExhibitionState.CLOSED)
HELD: Final[Mapping[str, Held]] = MappingProxyType(
    {
        "manager": Held(
            label="Exhibitions managed",
            model=Exhibition,
            field="manager",
            still=_RUNNING,
            words=lambda row: str(row.title),
            related=(),
            route="exhibition",
        ),
        "curator": Held(
            label="Exhibitions curated",
            model=Exhibition,
            field="curators",
            still=_RUNNING,
            words=lambda row: str(row.title),
            related=(),
            route="exhibition",
            many=True,
        ),
        "first-hand": Held(
            label="Appointments as first person",
            model=Appointment,
            field="person_1",
            still=_TO_COME,
            words=_appointment,
            related=("showing__museum_object",),
            route="showing",
            uid=lambda row: row.showing.uid,
            beside="person_2",
        ),
        "second-hand": Held(
            label="Appointments as second person",
            model=Appointment,
            field="person_2",
            still=_TO_COME,
            words=_appointment,
            related=("showing__museum_object",),
            route="showing",
            uid=lambda row: row.showing.uid,
            beside="person_1",
        ),
        "carrier": Held(
            label="Movements to carry",
            model=Movement,
            field="carried_by",
            still=Q(left_at=None, cancelled_at=None),
            words=lambda row: str(row.movement_no),
            related=(),
            route="movement",
        ),
        "imaging": _preparation(
            "Pictures to take", ImagingJob, Q(accepted_at=None, dropped_at=None)
        ),
        "facsimile": _preparation("Facsimiles to make", Facsimile, Q(ended_at=None)),
        "caption": _preparation("Captions to write", Caption, Q(approved_at=None)),
        "mount": _preparation("Mounts to make", Mount, Q(retired_at=None)),
        "housing": _preparation("Housings to make", Housing, Q(retired_at=None)),
    }
)


@dataclass(frozen=True, slots=True)
class HandOverLine:
    """One thing in hand; ``key`` is empty where the record has no field to name another in."""

    text: str
    route: str
    uid: str
    key: str = ""


@dataclass(frozen=True, slots=True)
class HandOverGroup:
    """The things of one kind, and what to do with those that can't be passed on by name."""

    label: str
    lines: tuple[HandOverLine, ...]
    advice: str = ""


def hand_over_list(person: Person, at: datetime) -> list[HandOverGroup]:
    """Return everything this person still has in hand, by kind; empty kinds are left out."""
    day = museum_day(at)
    groups = [
        HandOverGroup(
            held.label,
            tuple(
                HandOverLine(held.words(row), held.route, str(held.uid(row)), f"{kind}:{row.uid}")
                for row in held.rows(person)[:MOST]
            ),
        )
        for kind, held in HELD.items()
    ]
    groups += [
        HandOverGroup(
            "Begun and not signed or sent",
            tuple(
                HandOverLine(one.text, one.url_name, one.uid) for one in drafts_of(person)[:MOST]
            ),
            "Signed or struck by its writer, or begun anew by a colleague: nobody signs for "
            "another.",
        ),
        HandOverGroup(
            "Tasks that name this person",
            tuple(
                HandOverLine(f"{one.text} {one.object_number}".strip(), one.url_name, "")
                for one in today_of(person, at)
                if one.person_named
            )[:MOST],
            "They follow the records: once these name somebody else, so do the tasks.",
        ),
        HandOverGroup("Deputies", _deputies(person, day), "Name another deputy, or end the term."),
        HandOverGroup("Papers out", _papers(person), "Read them back, or write them off."),
        HandOverGroup(
            "Roles that nobody else holds",
            _alone_in(person, day),
            "Give the role to somebody else before the last day.",
        ),
    ]
    return [group for group in groups if group.lines]


def _deputies(person: Person, day: Any) -> tuple[HandOverLine, ...]:
    terms = DeputyTerm.objects.filter(Q(for_person=person) | Q(deputy=person), until_on__gte=day)
    return tuple(
        HandOverLine(
            f"{term.deputy.full_name} for {term.for_person.full_name} as "
            f"{Role(term.role).label}, until {day_words(term.until_on)}",
            "deputy-end",
            str(term.uid),
        )
        for term in terms.select_related("deputy", "for_person").order_by("until_on", "pk")[:MOST]
    )


def _papers(person: Person) -> tuple[HandOverLine, ...]:
    still_out = Print.objects.filter(printed_by=person, expected_back=True).filter(
        ~models.Exists(PrintReturn.objects.filter(print=models.OuterRef("pk"))),
        ~models.Exists(PrintWriteOff.objects.filter(print=models.OuterRef("pk"))),
    )
    rows = still_out.defer("words").order_by("printed_at", "pk")[:MOST]
    return tuple(
        HandOverLine(
            f"{row.print_no}, {row.get_paper_display()}, {row.record_no}", "print", str(row.uid)
        )
        for row in rows
    )


def _alone_in(person: Person, day: Any) -> tuple[HandOverLine, ...]:
    rows = RoleAssignment.objects.filter(running(day))
    theirs = set(rows.filter(person=person).values_list("role", flat=True))
    others = set(
        rows.filter(role__in=theirs, person__account__is_active=True)
        .exclude(person=person)
        .exclude(person__ends_on__lt=day)
        .values_list("role", flat=True)
    )
    return tuple(
        HandOverLine(Role(role).label, "people", "") for role in Role if role in theirs - others
    )
