"""Papers out: what was printed, what is still expected back, what became of it."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Count, Exists, F, OuterRef, Q, QuerySet

from lifecycle.process.rights import PersonFacts, SubjectFacts
from lifecycle.process.words import ReportKind
from lifecycle.queries.clock import museum_zone
from lifecycle.queries.pictures import Size, picture_bytes
from lifecycle.queries.rights import about_object, about_showing, may_see_objects
from lifecycle.records.base import typed_code
from lifecycle.records.models import (
    ConditionReport,
    Document,
    Museum,
    MuseumObject,
    PaperKind,
    PaperSize,
    Picture,
    Place,
    Print,
    PrintAbout,
    PrintReturn,
    PrintWriteOff,
    Showing,
    WrittenOff,
)

LIST_LIMIT = 300
#: The two reports that are filled in on one form.
PARTS = frozenset({ReportKind.DEINSTALL_AT_CASE, ReportKind.DEINSTALL_AT_BENCH})


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperOut:
    """One print with its state in words: out, back, lost or void."""

    print: Print
    state: str
    objects: tuple[str, ...]
    returns: int
    overdue_days: int
    age_days: int

    @property
    def expected(self) -> bool:
        """Still expected back."""
        return self.print.expected_back and self.state == "out"

    @property
    def mark(self) -> str:
        """The drawn mark that stands beside the word."""
        if self.state == "back":
            return "done"
        if self.state in {"lost", "void"}:
            return "not_needed"
        return "late" if self.overdue_days > 0 else "with_someone"


def expected_back(showing_ids: Iterable[int]) -> dict[int, list[Print]]:
    """Prints still expected back, per showing; one query. Showings without any are left out."""
    found: dict[int, list[Print]] = {}
    rows = (
        PrintAbout.objects.filter(showing__in=list(showing_ids))
        .filter(print__in=_still_out())
        .select_related("print__printed_by")
        .order_by("print__expected_back_by", "print__print_no")
    )
    for row in rows:
        if row.showing_id is not None:
            found.setdefault(row.showing_id, []).append(row.print)
    return found


def _still_out() -> "QuerySet[Print]":
    return Print.objects.filter(expected_back=True).filter(
        ~Exists(PrintReturn.objects.filter(print=OuterRef("pk"))),
        ~Exists(PrintWriteOff.objects.filter(print=OuterRef("pk"))),
    )


def still_out_of(uid: UUID) -> "QuerySet[Print]":
    """Prints of one record that are looked for, oldest first."""
    return _still_out().filter(record_uid=uid).order_by("print_no")


def _sheets_of(report: ConditionReport) -> Q:
    """Prints of one report; of part A and part B those of the form that holds both."""
    own = Q(paper=PaperKind.CONDITION_REPORT, record_uid=report.uid)
    if report.kind in PARTS and report.showing is not None:
        own |= Q(paper=PaperKind.DEINSTALL_FORM, record_uid=report.showing.uid)
    return own


def sheets_out_of(report: ConditionReport) -> "QuerySet[Print]":
    """Prints of a condition report that are looked for, oldest first."""
    return _still_out().filter(_sheets_of(report)).order_by("print_no")


def sheets_read_back(report: ConditionReport) -> "QuerySet[Print]":
    """Prints of a condition report that came back with a scan, oldest first."""
    scanned = PrintReturn.objects.filter(print=OuterRef("pk"), scan__isnull=False)
    return Print.objects.filter(_sheets_of(report), Exists(scanned)).order_by("print_no")


def scan_of(row: Print) -> Document | None:
    """The scan a print came back with, the last one where it came back twice."""
    scanned = row.returns.filter(scan__isnull=False).select_related("scan").order_by("nth")
    last = scanned.last()
    return None if last is None else last.scan


def prints_seen_by(person: PersonFacts) -> "QuerySet[Print]":
    """Prints whose every object the person may see."""
    seen = may_see_objects(person, MuseumObject.objects.all()).values("pk")
    hidden = PrintAbout.objects.filter(print=OuterRef("pk")).exclude(museum_object__in=seen)
    return Print.objects.filter(~Exists(hidden))


def papers_out(
    person: PersonFacts,
    at: datetime,
    *,
    place: Place | None = None,
    museum_object: MuseumObject | None = None,
    everything: bool = False,
    most: int | None = LIST_LIMIT,
) -> list[PaperOut]:
    """Papers by age, oldest first; with `everything` also those that are back or written off.

    Three queries, however many papers.
    """
    rows = prints_seen_by(person)
    if not everything:
        rows = rows.filter(pk__in=_still_out().values("pk"))
    if place is not None:
        rows = rows.filter(Q(place=place) | Q(place__parent=place))
    if museum_object is not None:
        rows = rows.filter(about__museum_object=museum_object)
    return in_words(with_states(rows).order_by("printed_at", "pk")[:most], at)


def papers_of_showing(showing: Showing, at: datetime) -> list[PaperOut]:
    """Every print about a showing, newest first."""
    rows = with_states(Print.objects.filter(about__showing=showing))
    return in_words(rows.order_by("-printed_at", "-pk")[:LIST_LIMIT], at)


def with_states(rows: "QuerySet[Print]") -> "QuerySet[Print]":
    """Prints with what became of them and what they are about, without their words."""
    return (
        rows.annotate(came_back=Count("returns", distinct=True), off=F("write_off__state"))
        .select_related("printed_by", "place")
        .defer("words")
        .prefetch_related("about__museum_object")
    )


def in_words(rows: Iterable[Print], at: datetime) -> list[PaperOut]:
    """Annotated prints as rows of a list, their ages in days of the museum."""
    zone = museum_zone()
    return [_paper(row, at.astimezone(zone).date(), zone) for row in rows]


def _paper(row: Any, today: date, zone: ZoneInfo) -> PaperOut:
    state = "back" if row.came_back else (row.off or "out")
    due = row.expected_back_by
    overdue = (today - due).days if due is not None and state == "out" else 0
    return PaperOut(
        print=row,
        state=WrittenOff(state).label if state in set(WrittenOff) else state,
        objects=tuple(sorted(one.museum_object.object_number for one in row.about.all())),
        returns=row.came_back,
        overdue_days=max(0, overdue),
        age_days=max(0, (today - row.printed_at.astimezone(zone).date()).days),
    )


def print_of_code(text: str) -> Print | None:
    """The print with this short code, lookalike letters forgiven."""
    return Print.objects.filter(code=typed_code(text)).select_related("printed_by").first()


def print_of(uid: UUID) -> Print | None:
    return (
        Print.objects.filter(uid=uid)
        .select_related("printed_by", "place")
        .prefetch_related("about__museum_object", "about__showing__exhibition")
        .first()
    )


def returns_of(row: Print) -> list[PrintReturn]:
    """Every return of a print, the first first."""
    return list(row.returns.select_related("entered_by", "scan").order_by("nth"))


def locked_prints(prints: Sequence[Print]) -> list[Print]:
    """The rows again, locked until the transaction ends, in the order of their numbers."""
    pks = [row.pk for row in prints]
    return list(
        Print.objects.select_for_update().filter(pk__in=pks).order_by("print_no").defer("words")
    )


def objects_of(prints: Sequence[Print]) -> list[tuple[int, int | None]]:
    """Row ids of (object, showing) of several prints."""
    return list(
        PrintAbout.objects.filter(print__in=[row.pk for row in prints])
        .order_by("pk")
        .values_list("museum_object_id", "showing_id")
    )


def subjects_of(objects: Iterable[tuple[int, int | None]]) -> list[SubjectFacts]:
    """What a deed on these objects is about: the showing where there is one, else the object."""
    pairs = list(dict.fromkeys(objects))
    showings = {
        row.pk: row
        for row in Showing.objects.filter(
            pk__in=[showing for _, showing in pairs if showing]
        ).select_related("place", "museum_object__current_location")
    }
    alone = {
        row.pk: row
        for row in MuseumObject.objects.filter(
            pk__in=[thing for thing, showing in pairs if not showing]
        ).select_related("current_location")
    }
    return [
        about_showing(showings[showing]) if showing else about_object(alone[thing])
        for thing, showing in pairs
    ]


def picture_source(
    hashes: Iterable[str], *, size: Size = "screen"
) -> Callable[[str], bytes | None]:
    """Bytes of stored pictures by hash; one query, files are read when they are drawn."""
    rows: Mapping[str, Picture] = {
        row.sha256: row for row in Picture.objects.filter(sha256__in=list(hashes)).order_by("pk")
    }

    def bytes_of(sha256: str) -> bytes | None:
        row = rows.get(sha256)
        if row is None:
            return None
        try:
            return picture_bytes(row, size)
        except FileNotFoundError:
            return None

    return bytes_of


@dataclass(frozen=True, slots=True)
class ShowingPapers:
    """The papers of one showing, and how many are still expected back."""

    showing: Showing
    papers: tuple[PaperOut, ...]

    @property
    def expected(self) -> tuple[PaperOut, ...]:
        return tuple(row for row in self.papers if row.expected)


def on_showing(showing: Showing, at: datetime) -> ShowingPapers:
    """The part of the showing's page that is about papers; a fixed number of queries."""
    return ShowingPapers(showing, tuple(papers_of_showing(showing, at)))


def house_size() -> str:
    """The museum's own paper size."""
    return Museum.objects.values_list("paper_size", flat=True).first() or PaperSize.A4.value
