"""Exhibitions and how ready they are: fourteen marks an object, in a fixed count of queries."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import Count, Q, QuerySet

from lifecycle.process.facts.showing import ShowingFacts
from lifecycle.process.gates.blocker import Blocker
from lifecycle.process.links import Link, install_day
from lifecycle.process.moves import onward
from lifecycle.process.numbers import reading_order
from lifecycle.process.readiness import GateCell, GateMark, first_late, readiness_of
from lifecycle.process.rights import PersonFacts
from lifecycle.process.stages import BEFORE_DISPLAY, CLOSED, Stage
from lifecycle.queries.facts import facts_of
from lifecycle.queries.rights import may_see_showings, museum_day, sees_all_showings
from lifecycle.records.models import Exhibition, Showing


@dataclass(frozen=True, slots=True, kw_only=True)
class ExhibitionLine:
    """One exhibition in the list, with how many of its objects are where."""

    exhibition: Exhibition
    objects: int
    before_display: int
    on_display: int
    closed: int
    days_to_install: int
    days_to_opening: int
    days_to_closing: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ObjectLine:
    """One object in the readiness table. ``late_by`` [days] is that of its first late link."""

    showing_uid: str
    request_no: str
    object_number: str
    title: str
    stage: Stage
    on_list: bool
    install_on: date
    days_to_install: int
    cells: tuple[GateCell, ...]
    blockers: tuple[Blocker, ...]
    next_word: str
    late_by: int
    late_gate: str
    late: Link | None
    held: bool
    facts: ShowingFacts

    @property
    def word(self) -> str:
        """How it stands in one word: stopped, late, soon, on course."""
        if self.held:
            return "stopped"
        if self.late_by:
            return "late"
        open_cells = [
            cell
            for cell in self.cells
            if cell.mark in (GateMark.TO_DO, GateMark.WITH_SOMEONE)
            and any(link.presses for link in cell.links)
            and (cell.due_on - self.facts.today).days <= 14
        ]
        return "soon" if open_cells else "on_course"


def exhibitions_seen(who: PersonFacts, at: datetime) -> list[ExhibitionLine]:
    """Return the exhibitions in which the person may see a showing, the next opening first."""
    today = museum_day(at)
    begun = Showing.objects.filter(journal__isnull=False).distinct()
    seen = may_see_showings(who, begun).values("pk")

    def how_many(**more: object) -> Count:
        return Count("showings", filter=Q(showings__in=seen, **more), distinct=True)

    rows = Exhibition.objects.annotate(
        objects_all=how_many(),
        objects_before=how_many(showings__stage__in=sorted(BEFORE_DISPLAY)),
        objects_shown=how_many(showings__stage__in=[Stage.ON_DISPLAY, Stage.ROTATION]),
        objects_closed=how_many(showings__stage__in=sorted(CLOSED)),
    )
    if not sees_all_showings(who):
        rows = rows.filter(objects_all__gt=0)
    lines = [
        ExhibitionLine(
            exhibition=row,
            objects=row.objects_all,
            before_display=row.objects_before,
            on_display=row.objects_shown,
            closed=row.objects_closed,
            days_to_install=(row.install_from - today).days,
            days_to_opening=(row.opens - today).days,
            days_to_closing=(row.closes - today).days,
        )
        for row in rows
    ]
    return sorted(lines, key=lambda line: (line.days_to_closing < 0, line.exhibition.opens))


def exhibitions_to_choose(who: PersonFacts) -> QuerySet[Exhibition, Any]:
    """The exhibitions a list can be narrowed to: for a guest those of what the pass names alone."""
    rows = Exhibition.objects.order_by("-opens", "pk")
    if sees_all_showings(who):
        return rows
    seen = may_see_showings(who, Showing.objects.all()).values("pk")
    return rows.filter(showings__in=seen).distinct()


def readiness_table(exhibition: Exhibition, who: PersonFacts, at: datetime) -> list[ObjectLine]:
    """Return a line for each object of the exhibition the person may see, the latest first."""
    rows = Showing.objects.filter(exhibition=exhibition, journal__isnull=False).distinct()
    seen = may_see_showings(who, rows).values_list("pk", flat=True)
    facts = facts_of(list(seen), at)
    return _in_order([_line(one) for one in facts.values()])


def _in_order(lines: Sequence[ObjectLine]) -> list[ObjectLine]:
    closed = sorted(CLOSED)
    return sorted(
        lines,
        key=lambda line: (
            line.stage in closed,
            not line.held,
            -line.late_by,
            line.install_on,
            reading_order(line.object_number),
        ),
    )


def _line(facts: ShowingFacts) -> ObjectLine:
    stage = facts.stage or Stage.SELECTION
    done = stage in CLOSED
    cells = readiness_of(facts)
    move = onward(facts)
    blockers = tuple(move.blockers(facts)) if move is not None else ()
    late = None if done else first_late(cells)
    labels = {cell.gate.code: cell.label for cell in cells}
    install_on = install_day(facts)
    return ObjectLine(
        showing_uid=facts.uid,
        request_no=facts.showing_no,
        object_number=facts.object.number,
        title=facts.object.title,
        stage=stage,
        on_list=not done,
        install_on=install_on,
        days_to_install=(install_on - facts.today).days,
        cells=cells,
        blockers=blockers,
        next_word=move.label if move is not None else "",
        late_by=late.late_by if late else 0,
        late_gate=labels[late.gate] if late else "",
        late=late,
        held=bool(facts.object.holds) and not done,
        facts=facts,
    )


def first_late_of(lines: Iterable[ObjectLine], most: int = 5) -> list[ObjectLine]:
    """Return the objects whose first late link was needed first, for the head of the table."""
    late = [line for line in lines if line.late is not None]
    return sorted(late, key=lambda line: (-line.late_by, reading_order(line.object_number)))[:most]
