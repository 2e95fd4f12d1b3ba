"""The object list of an exhibition as a table to take away, in the order of the hang."""

from uuid import UUID

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_GET

from lifecycle.exchange.tables.writing import Value, csv_bytes, xlsx_bytes
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.process.rights import Deed
from lifecycle.queries.object_list import Hung, hang_of
from lifecycle.queries.rights import sees_all_showings
from lifecycle.records.models import Exhibition

HEADINGS = (
    "Order",
    "Exhibition number",
    "Object number",
    "Title",
    "Maker",
    "Date",
    "Faces",
    "Size [mm]",
    "Lender",
    "Place",
    "Shown from",
    "Shown to",
    "Conditions",
    "Stage",
)
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def _row(one: Hung) -> list[Value]:
    showing, thing = one.showing, one.showing.museum_object
    return [
        one.order,
        showing.exhibition_number,
        thing.object_number,
        thing.title,
        thing.maker,
        thing.date_text,
        "; ".join(row.face.label for row in one.faces),
        "; ".join(f"{state}: {figures}" for state, figures in one.sizes),
        thing.lender.name if thing.lender else "",
        one.place,
        *one.days,
        one.condition_words,
        showing.get_stage_display(),
    ]


@require_GET
@signed_in
def object_list_table(request: SignedInRequest, uid: UUID, kind: str) -> HttpResponse:
    """The list as CSV or XLSX; no place in store and no value stands in it."""
    exhibition = get_object_or_404(Exhibition, uid=uid)
    if not sees_all_showings(request.facts):
        request.role_for(Deed.REGISTER)
    if kind not in ("csv", "xlsx"):
        raise Http404
    rows = [_row(one) for one in hang_of(exhibition)]
    if kind == "csv":
        response = HttpResponse(csv_bytes(HEADINGS, rows), content_type="text/csv; charset=utf-8")
    else:
        sheet = xlsx_bytes(HEADINGS, rows, exhibition.short)
        response = HttpResponse(sheet, content_type=XLSX)
    name = f"objects-{exhibition.short}.{kind}"
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
