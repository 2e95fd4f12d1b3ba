"""Lines of a table that take a running exhibition over: what each says, means and lacks."""

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time

from django.db.models.functions import Lower

from lifecycle.process.saying import TAKEN_OVER_INTO
from lifecycle.process.stages import CLOSED, Stage
from lifecycle.process.words import ReportKind
from lifecycle.queries.clock import museum_zone
from lifecycle.queries.display.lists import Near, nearest_numbers
from lifecycle.queries.object_list import natural
from lifecycle.records.models import (
    ConditionReport,
    DisplayPeriod,
    Exhibition,
    Face,
    Facsimile,
    LightReading,
    Mount,
    MuseumObject,
    Place,
    Showing,
    TakeOver,
)
from lifecycle.records.models.work import Work

BASELINES = (
    ReportKind.BASELINE,
    ReportKind.INCOMING,
    ReportKind.BEFORE_INSTALL,
    ReportKind.AFTER_TREATMENT,
    ReportKind.DEINSTALL_AT_BENCH,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenLine:
    """One line as read; doses in lx·h; ``missing`` is None where the line says nothing of gaps."""

    number: int
    typed: Mapping[str, str]
    object_number: str
    face: str = ""
    place: str = ""
    stage: Stage = Stage.ON_DISPLAY
    since_from: date | None = None
    since_to: date | None = None
    last_report: str = ""
    scan: str = ""
    light_low: int | None = None
    light_likely: int | None = None
    light_high: int | None = None
    light_basis: str = ""
    missing: tuple[str, ...] | None = None
    note: str = ""
    faults: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class LineMeant:
    """A line with the rows it means; ``gaps`` are codes of what is missing on record."""

    line: TakenLine
    museum_object: MuseumObject | None = None
    face: Face | None = None
    place: Place | None = None
    where: str = ""
    since_from: datetime | None = None
    since_to: datetime | None = None
    gaps: tuple[str, ...] = ()
    faults: tuple[str, ...] = ()
    taken_over: Showing | None = None

    @property
    def good(self) -> bool:
        return not self.faults and self.taken_over is None


def what_lines_mean(lines: Sequence[TakenLine], exhibition: Exhibition) -> list[LineMeant]:
    """Find object, face and place of every line, and what is missing; a fixed number of queries."""
    numbers = {line.object_number.lower() for line in lines if line.object_number}
    known = MuseumObject.objects.annotate(low=Lower("object_number")).filter(low__in=numbers)
    things = {thing.object_number.lower(): thing for thing in known}
    book = _Book(list(things.values()), exhibition)
    strange = [line.object_number for line in lines if line.object_number.lower() not in things]
    book.nearest = nearest_numbers([number for number in strange if number])
    times = Counter(line.object_number.lower() for line in lines)
    places = Counter(
        " ".join(line.place.casefold().split())
        for line in lines
        if line.place and line.stage is Stage.ON_DISPLAY
    )
    found = []
    for line in lines:
        meant = book.meant(line, things.get(line.object_number.lower()))
        more = []
        if line.object_number and times[line.object_number.lower()] > 1:
            times_here = times[line.object_number.lower()]
            more.append(f"{line.object_number} stands in {times_here} lines.")
        taken = places[" ".join(line.place.casefold().split())]
        if line.place and line.stage is Stage.ON_DISPLAY and taken > 1:
            more.append(f"{taken} lines name the position {line.place}; it holds one object.")
        found.append(replace(meant, faults=(*meant.faults, *more)))
    return found


class _Book:
    """Everything the lines are looked up in, read once."""

    def __init__(self, things: Sequence[MuseumObject], exhibition: Exhibition) -> None:
        self.exhibition, self.zone = exhibition, museum_zone()
        self.nearest: Mapping[str, Sequence[Near]] = {}
        self.faces: dict[int, list[Face]] = defaultdict(list)
        for face in Face.objects.filter(museum_object__in=things).order_by("order", "pk"):
            self.faces[face.museum_object_id].append(face)
        self.places = Places()
        rows = Showing.objects.filter(museum_object__in=things).exclude(stage__in=sorted(CLOSED))
        self.showings: dict[int, list[Showing]] = defaultdict(list)
        for row in rows.select_related("exhibition").order_by("pk"):
            self.showings[row.museum_object_id].append(row)
        reports = ConditionReport.objects.filter(
            museum_object__in=things, kind__in=BASELINES
        ).exclude(digest="")
        self.reported = set(reports.values_list("museum_object", flat=True))
        self.mounted = set(
            Mount.objects.filter(museum_object__in=things).values_list("museum_object", flat=True)
        )
        self.copied = set(
            Facsimile.objects.filter(of_face__museum_object__in=things).values_list(
                "of_face", flat=True
            )
        )
        self.read = set(LightReading.objects.values_list("place", flat=True).distinct())
        self.taken = dict(
            DisplayPeriod.objects.filter(closed_at=None, struck_at=None).values_list(
                "place", "museum_object__object_number"
            )
        )

    def meant(self, line: TakenLine, thing: MuseumObject | None) -> LineMeant:
        faults = list(line.faults)
        if thing is None:
            if line.object_number:
                near = ", ".join(one.number for one in self.nearest[line.object_number])
                hint = f" Near it: {near}." if near else ""
                faults.append(f"No object has the number “{line.object_number}”.{hint}")
            return LineMeant(line=line, faults=tuple(faults))
        face = self._face(line, thing, faults)
        place = self._place(line, faults)
        here = [s for s in self.showings[thing.pk] if s.exhibition_id == self.exhibition.pk]
        done = next((s for s in here if s.taken_over_on is not None), None)
        if done is None:
            for other in self.showings[thing.pk]:
                if other.exhibition_id == self.exhibition.pk or other.stage != Stage.SELECTION:
                    faults.append(
                        f"It is in a showing already: {other.request_no}, {other.exhibition.title}."
                    )
            if place is not None and line.stage is Stage.ON_DISPLAY and place.pk in self.taken:
                faults.append(f"{self.taken[place.pk]} is on display in {place.name}.")
        return LineMeant(
            line=line,
            museum_object=thing,
            face=face,
            place=place,
            where="" if place is None else self.places.near(place),
            since_from=self._moment(line.since_from),
            since_to=self._moment(line.since_to),
            gaps=self._gaps(line, thing, face, place),
            faults=() if done is not None else tuple(faults),
            taken_over=done,
        )

    def _face(self, line: TakenLine, thing: MuseumObject, faults: list[str]) -> Face | None:
        faces = self.faces[thing.pk]
        if not line.face and len(faces) == 1:
            return faces[0]
        found = next((f for f in faces if f.label.casefold() == line.face.casefold()), None)
        if found is None:
            labels = ", ".join(face.label for face in faces) or "none"
            said = f"no face “{line.face}”" if line.face else "no face named"
            faults.append(f"There is {said}; faces on record: {labels}.")
        return found

    def _place(self, line: TakenLine, faults: list[str]) -> Place | None:
        found = self.places.find(line.place)
        if len(found) == 1:
            return found[0]
        if not line.place:
            faults.append("Say where it is.")
        elif not found:
            faults.append(f"No place is called “{line.place}”.")
        else:
            paths = "; ".join(self.places.path(place) for place in found[:3])
            faults.append(f"Several places are called “{line.place}”: write {paths}.")
        return None

    def _moment(self, day: date | None) -> datetime | None:
        return None if day is None else datetime.combine(day, time(), self.zone)

    def _gaps(
        self, line: TakenLine, thing: MuseumObject, face: Face | None, place: Place | None
    ) -> tuple[str, ...]:
        """What the line says is missing; where it says nothing, what no record can show."""
        if line.missing is not None:
            return line.missing
        gaps = []
        if thing.pk not in self.reported:
            gaps.append("baseline")
        if line.stage is Stage.ON_DISPLAY:
            gaps.append("install_check")
        if thing.pk not in self.mounted:
            gaps.append("mount_fit")
        others = [one for one in self.faces[thing.pk] if face is not None and one.pk != face.pk]
        if any(one.pk not in self.copied for one in others):
            gaps.append("facsimile")
        if place is None or not self.read & set(self.places.chain(place)):
            gaps.append("light_readings")
        if line.stage is Stage.REHOUSING:
            gaps.append("part_a")
        return tuple(gaps)


class Places:
    """Every open place by name, by path and by printed code; one query."""

    def __init__(self) -> None:
        self.rows = {row.pk: row for row in Place.objects.filter(closed_on=None).order_by("pk")}
        self.named: dict[str, list[Place]] = defaultdict(list)
        for row in self.rows.values():
            for name in {row.name, self.path(row), row.code, f"{self._above(row)} {row.name}"}:
                self.named[" ".join(name.casefold().split())].append(row)

    def find(self, text: str) -> list[Place]:
        """Return the places a text may mean: a name, a path with › or /, a printed code."""
        words = " ".join(text.casefold().split())
        exact = self.named.get(words, [])
        if exact or not words:
            return exact
        parted = [part.strip() for part in words.replace("/", "›").split("›")]
        for ends in (words, " › ".join(parted)):
            found = [
                row
                for row in self.rows.values()
                if f" › {self.path(row).casefold()}".endswith(f" › {ends}")
            ]
            if found:
                return found
        return []

    def _above(self, place: Place) -> str:
        above = self.rows.get(place.parent_id or 0)
        return "" if above is None else above.name

    def chain(self, place: Place) -> list[int]:
        chain, pk = [], place.pk
        while pk in self.rows and pk not in chain:
            chain.append(pk)
            pk = self.rows[pk].parent_id or 0
        return chain

    def near(self, place: Place) -> str:
        """Return a place after what it lies in, for reading in a list: N1, position 4."""
        return ", ".join(self.rows[pk].name for pk in reversed(self.chain(place)[:2]))

    def path(self, place: Place) -> str:
        return " › ".join(self.rows[pk].name for pk in reversed(self.chain(place)))

    def below(self, tops: Sequence[Place]) -> list[Place]:
        """Return the places inside these, themselves included, in the order of their paths."""
        wanted = {place.pk for place in tops}
        found = [row for row in self.rows.values() if wanted & set(self.chain(row))]
        return sorted(found, key=lambda row: natural(self.path(row)))


def prefilled(exhibition: Exhibition) -> list[dict[str, str]]:
    """Return a line for every object or position in the exhibition's places, as far as known."""
    book = Places()
    tops = list(exhibition.places.order_by("pk"))
    inside = book.below(tops)
    if not inside:
        return []
    things = defaultdict(list)
    rows = MuseumObject.objects.filter(current_location__in=inside).order_by("object_number")
    for thing in rows.prefetch_related("faces"):
        things[thing.current_location_id].append(thing)
    parents = {place.parent_id for place in inside}
    lines = []
    for place in inside:
        for thing in things[place.pk]:
            faces = list(thing.faces.all())
            lines.append(
                {
                    "Object number": thing.object_number,
                    "Title": thing.title,
                    "Face": faces[0].label if len(faces) == 1 else "",
                    "Place": book.path(place),
                }
            )
        if not things[place.pk] and place.pk not in parents:
            lines.append({"Place": book.path(place)})
    return lines


def stage_of(word: str) -> Stage | None:
    """Return the stage a word names, among those an object may be taken over into."""
    folded = " ".join(word.casefold().replace("_", " ").split())
    return next((one for one in Stage if one in TAKEN_OVER_INTO and one.label == folded), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What became of one line: its showing with its gaps, or why not; neither: still to come."""

    number: int
    object_number: str
    showing: Showing | None
    gaps: tuple[str, ...]
    because: str


def outcome_of(work: Work, exhibition: Exhibition) -> list[Outcome]:
    """Return every line of a table with what became of it, in two queries."""
    reasons = dict(finding.split(": ", 1) for finding in work.findings if ": " in finding)
    lines = work.inputs.get("lines", [])
    numbers = {str(one["typed"].get("Object number", "")).lower() for one in lines}
    rows = (
        TakeOver.objects.filter(showing__exhibition=exhibition)
        .annotate(low=Lower("showing__museum_object__object_number"))
        .filter(low__in=numbers)
        .select_related("showing__museum_object")
    )
    taken = {row.showing.museum_object.object_number.lower(): row for row in rows}
    found = []
    for one in lines:
        number = str(one["typed"].get("Object number", ""))
        because = reasons.get(str(one["number"]), "")
        row = None if because else taken.get(number.lower())
        found.append(
            Outcome(
                number=one["number"],
                object_number=number,
                showing=None if row is None else row.showing,
                gaps=() if row is None else tuple(gap["text"] for gap in row.missing),
                because=because,
            )
        )
    return found
