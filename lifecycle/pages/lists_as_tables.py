"""Each list as a table: the columns of its page, the rows its filters and rights leave."""

from collections.abc import Iterable, Sequence
from datetime import datetime
from decimal import Decimal
from typing import Final

from django.db.models import QuerySet
from django.utils.timezone import localtime

from lifecycle.exchange.object_table.columns import COLUMNS, LEFT_OUT
from lifecycle.exchange.object_table.comparing import table_rows
from lifecycle.exchange.tables.writing import Value
from lifecycle.pages.tables_out import ListTable
from lifecycle.process.facts.showing import Rules
from lifecycle.process.numbers import reading_order
from lifecycle.process.readiness import ReadyGate
from lifecycle.process.rights import PersonFacts
from lifecycle.process.stages import CLOSED
from lifecycle.queries.calendar import Week
from lifecycle.queries.light.pages import FaceNow
from lifecycle.queries.loans import LoanRow
from lifecycle.queries.object_cards import cards_of
from lifecycle.queries.objects import as_read, object_lines, sees_all_bays
from lifecycle.queries.papers_out import PaperOut
from lifecycle.queries.people import PersonLine
from lifecycle.queries.places import PlaceNode
from lifecycle.queries.readiness import ObjectLine
from lifecycle.records.models import LightReading, MuseumObject

A_PIECE: Final = 500
_NUMBERS: Final = frozenset(column.key for column in COLUMNS if column.number)


def _moment(at: datetime | None) -> str:
    """A moment on the reader's clock, with how far that is from UTC."""
    return localtime(at).isoformat(timespec="minutes") if at is not None else ""


def objects_table(
    objects: QuerySet[MuseumObject], person: PersonFacts, *, with_restriction: bool
) -> ListTable:
    """Objects in the columns of their import, then where they are and what they are shown in."""
    headings = [*(column.heading for column in COLUMNS), *LEFT_OUT]
    sorted(objects, key=lambda one: reading_order(one.object_number))
    return ListTable("objects", headings, _objects(as_read(objects), person, with_restriction))


def _objects(
    keys: Sequence[int], person: PersonFacts, with_restriction: bool
) -> Iterable[Sequence[Value]]:
    bay = sees_all_bays(person)
    for start in range(0, len(keys), A_PIECE):
        lines = object_lines(person, keys[start : start + A_PIECE])
        cards = cards_of(
            [line.museum_object for line in lines], with_bay=bay, with_restriction=with_restriction
        )
        for line, card in zip(lines, cards, strict=True):
            showing = line.showing.exhibition.title if line.showing else ""
            for n, cells in enumerate(table_rows(card)):
                beside = (line.where, showing, line.stage) if n == 0 else ("", "", "")
                yield [*(_value(column.key, cells) for column in COLUMNS), *beside]


def _value(key: str, cells: dict[str, str]) -> Value:
    text = cells.get(key, "")
    return Decimal(text) if text and key in _NUMBERS else text


LATE: Final = ("", "", None)


def readiness_as_table(
    title: str, lines: Sequence[ObjectLine], kept: Sequence[ReadyGate], rules: Rules
) -> ListTable:
    """The readiness table of one exhibition, one column a gate, then what is missing in words."""
    gates = [f"{gate.code} {gate.label_in(rules)}" for gate in kept]
    headings = [
        *("object number", "title", "showing", "stage", "state", "days late", "latest gate"),
        *("of", "with", "needed by"),
        *("install", *gates, "still missing"),
    ]
    rows = []
    for line in lines:
        found = [b.text for cell in line.cells for b in cell.blockers]
        missing = dict.fromkeys([*found, *(b.text for b in line.blockers)])
        closed = line.stage in CLOSED
        state = "" if closed else line.word.replace("_", " ")
        marks = {cell.gate.code: cell.mark.label for cell in line.cells}
        rows.append(
            [
                *(line.object_number, line.title, line.request_no, line.stage.label, state),
                *(line.late_by or None, line.late_gate),
                *((line.late.about, line.late.owner, line.late.needed_by) if line.late else LATE),
                line.install_on,
                *(marks.get(gate.code, "") for gate in kept),
                "" if closed else " ".join(missing),
            ]
        )
    return ListTable(f"readiness {title}", headings, rows)


def places_table(tree: Sequence[PlaceNode]) -> ListTable:
    """The tree of places, each with its path from the outside in."""
    headings = ["place", "name", "kind", "short code", "public", "lit timetable", "objects here"]
    return ListTable("places", headings, list(_places(tree, ())))


def _places(nodes: Sequence[PlaceNode], above: tuple[str, ...]) -> Iterable[Sequence[Value]]:
    for node in nodes:
        place, path = node.place, (*above, node.place.name)
        timetable = place.timetable.name if place.timetable else ""
        yield [
            *(" > ".join(path), place.name, node.kind, place.code, place.public),
            *(timetable, node.objects),
        ]
        yield from _places(node.inside, path)


def calendar_table(weeks: Sequence[Week]) -> ListTable:
    """Planned days in their order."""
    headings = [
        *("day", "time", "what", "number", "state", "object number", "title", "exhibition"),
        *("from face", "other object", "to face", "place", "person", "second person"),
        *("last day", "to see to"),
    ]
    rows = []
    for week in weeks:
        for one in week.days:
            row, showing = one.appointment, one.appointment.showing
            other = row.other_showing.museum_object.object_number if row.other_showing else ""
            rows.append(
                [
                    *(row.day, f"{row.slot:%H:%M}" if row.slot else ""),
                    *(row.get_kind_display(), row.appointment_no, row.get_state_display()),
                    *(showing.museum_object.object_number, showing.museum_object.title),
                    showing.exhibition.title,
                    row.from_face.label if row.from_face else "",
                    *(other, row.to_face.label if row.to_face else "", row.place.name),
                    *(row.person_1.full_name, row.person_2.full_name),
                    *(one.last_day, " ".join(one.troubles)),
                ]
            )
    return ListTable("calendar", headings, rows)


def readings_table(place: str, readings: Iterable[LightReading]) -> ListTable:
    """Light readings at a place and inside it, corrected ones with what corrects them."""
    headings = [
        *("read", "place", "point", "lux [lx]", "as the meter showed it [lx]", "UV [µW/lm]"),
        *("lamps", "meter", "read by", "odd, confirmed", "meter past calibration"),
        *("by a volunteer", "counts", "corrected"),
    ]
    rows = [
        [
            *(_moment(row.read_at), row.place.name, row.point.letter if row.point else ""),
            *(row.lux, row.shown_lux, row.uv, row.get_lamp_state_display()),
            *(str(row.instrument or ""), row.read_by.full_name),
            *(row.suspicious, row.meter_lapsed, row.by_volunteer, row.counts),
            hasattr(row, "corrected_by"),  # the row that corrects it, if there is one
        ]
        for row in readings
    ]
    return ListTable(f"light readings {place}", headings, rows)


def accounts_table(rows: Sequence[FaceNow]) -> ListTable:
    """The light accounts of the faces on display."""
    headings = [
        *("object number", "face", "place", "spent [lx·h]", "booked [lx·h]", "left [lx·h]"),
    ]
    return ListTable(
        "light accounts",
        headings,
        [
            [
                *(row.period.museum_object.object_number, row.period.face.label),
                *(row.period.place.name, row.account.spent.likely, row.account.booked.likely),
                row.left.likely if row.left is not None else None,
            ]
            for row in rows
        ],
    )


def papers_table(papers: Sequence[PaperOut]) -> ListTable:
    """Prints and what became of them."""
    headings = [
        *("print", "paper", "record", "copy", "objects", "printed", "printed by", "place"),
        *("state", "expected back by", "days overdue"),
    ]
    rows = []
    for one in papers:
        row = one.print
        rows.append(
            [
                *(
                    row.print_no,
                    row.get_paper_display(),
                    row.record_no,
                    row.get_copy_word_display(),
                ),
                *("; ".join(one.objects), _moment(row.printed_at), row.printed_by.full_name),
                *(row.place.name if row.place else "", one.state, row.expected_back_by),
                one.overdue_days or None,
            ]
        )
    return ListTable("papers", headings, rows)


def loans_table(rows: Sequence[LoanRow]) -> ListTable:
    """Loans without contacts and values."""
    headings = [
        *("agreement", "with", "in or out", "objects", "ends", "clauses", "broken", "at risk"),
        "state",
    ]
    return ListTable(
        "loans",
        headings,
        [
            [
                *(row.loan.agreement_no, row.loan.lender.name, row.loan.get_direction_display()),
                *("; ".join(row.objects), row.loan.ends_on, row.clauses, row.broken, row.at_risk),
                row.loan.get_state_display(),
            ]
            for row in rows
        ],
    )


def people_table(lines: Sequence[PersonLine]) -> ListTable:
    """People with their roles of today; addresses stay where they are."""
    headings = ["name", "organisation", "roles today", "signs in", "last day"]
    return ListTable(
        "people",
        headings,
        [
            [
                line.person.full_name,
                line.person.organisation.name if line.person.organisation else "",
                line.role_words,
                "ended" if line.ended else "account" if line.has_account else "on paper only",
                line.person.ends_on,
            ]
            for line in lines
        ],
    )
