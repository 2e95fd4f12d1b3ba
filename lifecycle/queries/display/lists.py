"""Answers to a list of requests at once: the light accounts of all lines gathered one time."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from difflib import get_close_matches
from typing import Any
from uuid import UUID

from django.db.models.functions import Lower

from lifecycle.planning.counting import counted
from lifecycle.planning.keeping import as_data
from lifecycle.process.days import day_words
from lifecycle.process.stages import CLOSED
from lifecycle.process.words import ExhibitionState, ListAnswer, Priority
from lifecycle.queries.display.list_lines import LineSaid
from lifecycle.queries.find import folded_number
from lifecycle.queries.light.accounts import next_allowed_in, position_asked
from lifecycle.queries.light.gathering import Gathered
from lifecycle.records.models import (
    Exhibition,
    Face,
    MuseumObject,
    RequestLine,
    RequestList,
    Showing,
)

NEAR = 3

BY_RULE: Mapping[str, ListAnswer] = {
    "rest": ListAnswer.RESTING,
    "booking": ListAnswer.BOOKED,
    "never": ListAnswer.FACSIMILE_ONLY,
    "allowance": ListAnswer.OVER_ACCOUNT,
    "too_much": ListAnswer.OVER_ACCOUNT,
    "weeks": ListAnswer.OVER_ACCOUNT,
}
"""Which answer each binding rule of the light account comes to."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceMeant:
    """A face of the line with its days, first and last included."""

    face: Face
    first: date
    last: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Near:
    """An object whose number is near what was typed."""

    number: str
    title: str
    uid: UUID


@dataclass(frozen=True, slots=True, kw_only=True)
class LineAnswer:
    """One line of the list with its answer, and what it was computed from."""

    line: LineSaid
    answer: ListAnswer
    because: str
    museum_object: MuseumObject | None = None
    faces: tuple[FaceMeant, ...] = ()
    priority: Priority = Priority.IMPORTANT
    earliest: date | None = None
    notes: tuple[str, ...] = ()
    bookings: tuple[dict[str, str], ...] = ()
    nearest: tuple[Near, ...] = ()
    inputs: dict[str, Any] = field(default_factory=dict)

    @property
    def can_be_asked_all_the_same(self) -> bool:
        """Whether a person may still ask: the object is known and the line is plain."""
        refused = (ListAnswer.RESTING, ListAnswer.BOOKED, ListAnswer.OVER_ACCOUNT)
        return self.answer in refused


def answers_to(lines: Sequence[LineSaid], exhibition: Exhibition, at: datetime) -> list[LineAnswer]:
    """Answer every line, none dropped, in a fixed number of queries however many there are."""
    numbers = {line.object_number.lower() for line in lines if line.object_number}
    things = {
        thing.object_number.lower(): thing
        for thing in MuseumObject.objects.annotate(low=Lower("object_number"))
        .filter(low__in=numbers)
        .select_related("sensitivity_class", "lender")
    }
    asking = _Asking(exhibition, at, list(things.values()), lines)
    strange = [line for line in lines if line.object_number.lower() not in things]
    near = nearest_numbers([line.object_number for line in strange if line.object_number])
    return [asking.answer(line, things.get(line.object_number.lower()), near) for line in lines]


class _Asking:
    """The exhibition, the objects and their light, read once for all lines."""

    def __init__(
        self,
        exhibition: Exhibition,
        at: datetime,
        things: Sequence[MuseumObject],
        lines: Sequence[LineSaid],
    ) -> None:
        self.exhibition, self.at = exhibition, at
        self.faces: dict[int, list[Face]] = defaultdict(list)
        for face in Face.objects.filter(museum_object__in=things).order_by("order", "pk"):
            self.faces[face.museum_object_id].append(face)
        self.gathered = Gathered([face for rows in self.faces.values() for face in rows], at)
        self.position = position_asked(self.gathered, exhibition)
        rules = self.gathered.rules
        self.travel = timedelta(0 if rules is None else rules.travel_days)
        self.others: dict[int, list[Showing]] = defaultdict(list)
        rows = Showing.objects.filter(museum_object__in=things).exclude(stage__in=sorted(CLOSED))
        for row in rows.select_related("exhibition").order_by("show_from", "pk"):
            self.others[row.museum_object_id].append(row)
        self.first_line: dict[str, int] = {}
        self.times = Counter(line.object_number.lower() for line in lines)
        for line in lines:
            self.first_line.setdefault(line.object_number.lower(), line.number)

    def answer(
        self, line: LineSaid, thing: MuseumObject | None, near: Mapping[str, tuple[Near, ...]]
    ) -> LineAnswer:
        if not line.object_number:
            return LineAnswer(line=line, answer=ListAnswer.UNCLEAR, because=" ".join(line.faults))
        if thing is None:
            because = f"No object has the number “{line.object_number}”."
            return LineAnswer(
                line=line,
                answer=ListAnswer.NOT_FOUND,
                because=because,
                nearest=near.get(line.object_number, ()),
                notes=line.faults,
            )
        said = self._unclear(line, thing)
        if isinstance(said, str):
            return LineAnswer(
                line=line, answer=ListAnswer.UNCLEAR, because=said, museum_object=thing
            )
        twice = self._twice(line, thing)
        answer = LineAnswer(
            line=line,
            answer=ListAnswer.TWICE if twice else ListAnswer.GO,
            because=twice or "Nothing known stands against it.",
            museum_object=thing,
            faces=said,
            priority=Priority(line.priority) if line.priority else Priority.IMPORTANT,
        )
        return answer if twice else self._by_bookings(answer, self._by_light(answer))

    def _unclear(self, line: LineSaid, thing: MuseumObject) -> str | tuple[FaceMeant, ...]:
        """Return what has to be mended in words, or the faces the line means."""
        faults = list(line.faults)
        if line.priority and line.priority not in set(Priority):
            known = ", ".join(one.label for one in Priority)
            faults.append(f"“{line.priority}” is no priority: write {known}.")
        first, last = line.first or self.exhibition.opens, line.last or self.exhibition.closes
        run = self.exhibition
        if run.state == ExhibitionState.CLOSED or run.closes < self.gathered.today:
            faults.append(f"{run.title} is closed and takes no more objects.")
        if last < first:
            faults.append(f"The last day, {day_words(last)}, lies before the first.")
        elif not run.opens <= first <= last <= run.closes:
            faults.append(
                f"{day_words(first)} to {day_words(last)} do not lie inside the run, "
                f"{day_words(run.opens)} to {day_words(run.closes)}."
            )
        faces = self.faces[thing.pk]
        by_label = {face.label.casefold(): face for face in faces}
        meant = [by_label.get(said.label.casefold()) for said in line.faces]
        if not faces:
            faults.append("It has no face on record: add one before asking.")
        for said, face in zip(line.faces, meant, strict=True):
            if face is None:
                labels = ", ".join(one.label for one in faces)
                faults.append(f"It has no face “{said.label}”; it has: {labels}.")
        if not line.faces and len(faces) > 1:
            labels = ", ".join(one.label for one in faces)
            faults.append(f"It has {len(faces)} faces; name the one that is meant: {labels}.")
        if faults:
            return " ".join(faults)
        if not line.faces:
            return (FaceMeant(face=faces[0], first=first, last=last),)
        return tuple(
            FaceMeant(face=face, first=said.first or first, last=said.last or last)
            for said, face in zip(line.faces, meant, strict=True)
            if face is not None
        )

    def _twice(self, line: LineSaid, thing: MuseumObject) -> str:
        for other in self.others[thing.pk]:
            if other.exhibition_id == self.exhibition.pk:
                return f"It is asked for in this exhibition already ({other.request_no})."
        first = self.first_line.get(line.object_number.lower(), line.number)
        if first != line.number:
            return f"It stands in line {first} already: name all its faces there."
        return ""

    def _by_light(self, answer: LineAnswer) -> LineAnswer:
        """What the light accounts say; the worst face speaks for the object."""
        found = [
            (
                meant,
                next_allowed_in(
                    self.gathered,
                    meant.face,
                    first_day=meant.first,
                    days=(meant.last - meant.first).days + 1,
                    position=self.position,
                ),
            )
            for meant in answer.faces
        ]
        inputs = {
            "asked_at": self.at.isoformat(),
            "faces": [
                {
                    "face": str(meant.face.uid),
                    "inputs": as_data(said.inputs),
                    "asked": as_data(said.asked),
                }
                for meant, said in found
            ],
        }
        never = [meant.face for meant, _ in found if meant.face.never_show]
        if never:
            because = " ".join(
                f"{one.label} is never shown: {one.never_show_reason}" for one in never
            )
            return replace(answer, answer=ListAnswer.FACSIMILE_ONLY, because=because, inputs=inputs)
        notes = [
            f"{meant.face.label}: the light account lacks {row.text.rstrip('.')}."
            for meant, said in found
            for row in said.missing
        ]
        refusing = [(m, said) for m, said in found if not said.as_asked and not said.missing]
        if not refusing:
            because = " ".join(said.because for _, said in found if not said.missing)
            return replace(
                answer, because=because or answer.because, notes=tuple(notes), inputs=inputs
            )
        meant, said = refusing[0]
        code = "" if said.binding is None else said.binding.code
        starts = [one.first for _, one in refusing]
        known = [day for day in starts if day is not None]
        return replace(
            answer,
            answer=BY_RULE.get(code, ListAnswer.UNCLEAR),
            because=f"{meant.face.label}: {said.because}",
            earliest=max(known) if len(known) == len(starts) else None,
            notes=(*notes, *said.offers),
            inputs=inputs,
        )

    def _by_bookings(self, answer: LineAnswer, lit: LineAnswer) -> LineAnswer:
        """Other bookings go before what the light says, but not before facsimile only."""
        thing = answer.museum_object
        if thing is None or lit.answer is ListAnswer.FACSIMILE_ONLY:
            return lit
        first = min(one.first for one in answer.faces)
        last = max(one.last for one in answer.faces)
        others = self.others[thing.pk]
        bookings = tuple(
            {
                "exhibition": other.exhibition.title,
                "request_no": other.request_no,
                "from": other.show_from.isoformat(),
                "to": other.show_to.isoformat(),
            }
            for other in others
        )
        held = [
            other
            for other in others
            if other.show_from - self.travel <= last and first <= other.show_to + self.travel
        ]
        if not held:
            notes = [
                f"Also asked for by {other.exhibition.title}, {day_words(other.show_from)} to "
                f"{day_words(other.show_to)}."
                for other in others
            ]
            return replace(lit, bookings=bookings, notes=(*lit.notes, *notes))
        because = " ".join(
            f"{other.exhibition.title} has it from {day_words(other.show_from)} to "
            f"{day_words(other.show_to)} ({other.request_no}); here it is asked for from "
            f"{day_words(first)} to {day_words(last)}, with {counted(self.travel.days, 'day')} of "
            "travel between."
            for other in held
        )
        return replace(
            lit, answer=ListAnswer.BOOKED, because=because, bookings=bookings, earliest=None
        )


def nearest_numbers(typed: Sequence[str]) -> dict[str, tuple[Near, ...]]:
    """Return, for numbers that were not found, those nearest; one query for all of them."""
    if not typed:
        return {}
    rows = MuseumObject.objects.order_by("object_number", "pk")
    known = {
        folded_number(number): Near(number=number, title=title, uid=uid)
        for number, title, uid in rows.values_list("object_number", "title", "uid")
    }
    return {number: tuple(_near(folded_number(number), known)) for number in typed}


def _near(wanted: str, known: Mapping[str, Near]) -> Iterator[Near]:
    """The number that differs only in what is easily mixed up, else the nearest few."""
    if wanted in known:
        yield known[wanted]
        return
    for name in get_close_matches(wanted, known, n=NEAR, cutoff=0.75):
        yield known[name]


@dataclass(frozen=True, slots=True, kw_only=True)
class ListLine:
    """One line of a stored list as it stands now, with what was said of it before."""

    row: RequestLine
    before: tuple[RequestLine, ...]

    @property
    def may_choose(self) -> bool:
        return self.row.answer == ListAnswer.NOT_FOUND

    @property
    def may_ask_all_the_same(self) -> bool:
        refused = (ListAnswer.RESTING, ListAnswer.BOOKED, ListAnswer.OVER_ACCOUNT)
        return self.row.answer in refused


def lines_of(asked: RequestList) -> list[ListLine]:
    """Return every line of a stored list with its last answer, in the order of the list."""
    rows: dict[int, list[RequestLine]] = defaultdict(list)
    found = asked.lines.select_related("museum_object", "showing", "by").order_by("number", "pk")
    for row in found:
        rows[row.number].append(row)
    return [ListLine(row=said[-1], before=tuple(said[:-1])) for said in rows.values()]


def counts_of(answers: Iterable[str]) -> list[tuple[ListAnswer, int]]:
    """Return how many lines got which answer, in the order of the answers."""
    found = Counter(answers)
    return [(answer, found[answer]) for answer in ListAnswer if found[answer]]


def lists_in(exhibition: Exhibition) -> list[RequestList]:
    """Return the lists asked for in an exhibition, the latest first."""
    rows = RequestList.objects.filter(exhibition=exhibition).select_related("by")
    return list(rows.order_by("-at", "-pk"))
