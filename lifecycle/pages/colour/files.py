"""A file of colour readings: all of it is taken, or each line that can't be, with its reason."""

from datetime import datetime
from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_GET

from lifecycle.actions.colour import Measured, bring_in_readings
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.exchange.colour_readings import (
    COLUMNS,
    ColourLine,
    UnreadableColours,
    headings,
    lines_of_colours,
    visits_of,
)
from lifecycle.exchange.tables.reading import read_table
from lifecycle.exchange.tables.table import UnreadableTable
from lifecycle.exchange.tables.writing import csv_bytes
from lifecycle.pages.colour.forms import FileForm
from lifecycle.pages.colour.spots import examiner
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.pages.objects.one import seen_object
from lifecycle.planning.counting import counted
from lifecycle.queries.clock import museum_zone, on_the_clock
from lifecycle.records.models import Instrument, MuseumObject
from lifecycle.records.models.colour import Geometry, Illuminant, Observer


@signed_in
def colours_file(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Bring in a file of readings: all of it, or each line that can't be taken with its reason."""
    museum_object = seen_object(request, uid)
    role = examiner(request, museum_object)
    form = FileForm(request.POST or None, request.FILES or None)

    def act(_: dict[str, Any]) -> str:
        data, name = form.given()
        try:
            lines = lines_of_colours(read_table(data, name))
        except (UnreadableTable, UnreadableColours) as bad:
            raise Refused(Reason(str(bad), "text")) from bad
        rows = bring_in_readings(
            visits=_visits(museum_object, lines, name),
            by=request.person,
            role=role,
            at=request.at,
        )
        return f"Kept: {counted(len(lines), 'reading')} of {counted(len(rows), 'visit')}."

    page = FormPage(
        title=f"Colour readings of {museum_object.object_number} from a file",
        submit="Bring them in",
        back=reverse("object-colours", args=[museum_object.uid]),
        lead="One line a reading; repeats of one visit stand below each other.",
        template="colour/file.html",
        more={"columns": COLUMNS.items()},
    )
    return answer_form(request, form, act, page)


def _visits(
    museum_object: MuseumObject, lines: list[ColourLine], name: str
) -> list[tuple[list[int], Measured]]:
    """The visits of a file with the records they name.

    :raises Refused: with a reason for each line that can't be understood
    """
    spots = {str(spot): spot for spot in museum_object.colour_spots.select_related("face")}
    serials = {line.serial.casefold() for line in lines}
    known = {
        one.serial.casefold(): one
        for one in Instrument.objects.order_by("pk")
        if one.serial.casefold() in serials
    }
    zone = museum_zone()
    moments: dict[int, datetime] = {}
    reasons = []
    for line in lines:
        faults = list(line.faults)
        try:
            if line.measured_at is not None:
                moments[line.number] = on_the_clock(line.measured_at, zone)
        except ValueError as never:
            faults.append(f"Measured at: {never}")
        if line.spot and line.spot not in spots:
            faults.append(f"{museum_object.object_number} has no colour spot {line.spot}.")
        if line.serial and line.serial.casefold() not in known:
            faults.append(f"No instrument with the serial number {line.serial} is on record.")
        reasons += [Reason(f"Line {line.number}: {fault}", "text") for fault in faults]
    if reasons:
        raise Refused(reasons)
    found = []
    for numbers, group in visits_of(lines):
        first = group[0]
        measured = Measured(
            spot=spots[first.spot],
            instrument=known[first.serial.casefold()],
            geometry=Geometry(first.geometry),
            aperture_mm=first.aperture_mm,
            illuminant=Illuminant(first.illuminant),
            observer=Observer(first.observer),
            measured_at=moments[first.number],
            readings=[line.reading for line in group if line.reading is not None],
            stated_repeatability=first.stated_repeatability,
            source=f"file {name}"[:200],
            note=first.note,
        )
        found.append((numbers, measured))
    return found


@require_GET
@signed_in
def colours_table(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """The empty table with its headings."""
    museum_object = seen_object(request, uid)
    examiner(request, museum_object)
    answer = HttpResponse(csv_bytes(headings(), []), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = 'attachment; filename="colour-readings.csv"'
    return answer
