"""Take a running exhibition over from a table: fetch it, fill it, see its gaps, confirm, watch."""

import json
from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from lifecycle.actions.display.taking_over import MISSING
from lifecycle.actions.display.taking_over_list import (
    ask_to_take_over,
    faults_with,
    folded_name,
    period_is_open,
)
from lifecycle.actions.pictures import store_document
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.exchange.tables.reading import read_table
from lifecycle.exchange.tables.table import UnreadableTable
from lifecycle.exchange.tables.writing import csv_bytes, xlsx_bytes
from lifecycle.exchange.taking_over_list import (
    COLUMNS,
    UnreadableTakeOver,
    headings,
    line_typed,
    lines_of_table,
)
from lifecycle.pages.door import SignedInRequest, refusal_to_form, signed_in
from lifecycle.pages.fields import FilesField
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.display.taking_over_lines import (
    TakenLine,
    outcome_of,
    prefilled,
    what_lines_mean,
)
from lifecycle.queries.hands import conservators_on
from lifecycle.queries.light.timetables import lit_since
from lifecycle.queries.rights import about_exhibition, museum_day
from lifecycle.records.models import Document, Exhibition, Person
from lifecycle.records.models.work import Work, WorkKind, WorkState

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


class TakeOverListForm(forms.Form):
    """The table, the scans its lines name, and the conservator beside."""

    file = forms.FileField(
        label="The table, filled in",
        required=False,
        help_text="CSV or XLSX.",
    )
    scans = FilesField(
        label="Scans of last reports",
        required=False,
        help_text="PDF, JPEG or PNG, named as in the column “Scan”. Several at once.",
    )
    conservator = forms.ModelChoiceField(
        Person.objects.none(), to_field_name="uid", label="Conservator", required=False
    )
    lines = forms.CharField(widget=forms.HiddenInput, required=False)
    brought = forms.CharField(widget=forms.HiddenInput, required=False)

    def read(self) -> tuple[list[TakenLine], tuple[str, ...]]:
        """Return the lines of a new table, or those that were seen already.

        :raises UnreadableTable, UnreadableTakeOver: with the reason in one sentence
        """
        given = self.cleaned_data["file"]
        if given is None:
            try:
                known = json.loads(self.cleaned_data["lines"] or "[]")
                return [line_typed(int(number), typed, MISSING) for number, typed in known], ()
            except (ValueError, TypeError, AttributeError) as bad:
                raise UnreadableTakeOver("The lines are lost: bring the table again.") from bad
        table = read_table(given.read(), given.name)
        return lines_of_table(table, MISSING), table.notes

    def carry(self, lines: list[TakenLine], scans: dict[str, Document]) -> None:
        """Carry what was read over to the next time the form is sent."""
        carried = {
            "lines": json.dumps([[line.number, dict(line.typed)] for line in lines]),
            "brought": json.dumps({name: str(one.uid) for name, one in scans.items()}),
        }
        self.data = {**dict(self.data.items()), **carried}


def _scans(request: SignedInRequest, form: TakeOverListForm, role: Role) -> dict[str, Document]:
    """Return the scans by file name: those kept before, and those that came with this form."""
    try:
        before = dict(json.loads(form.cleaned_data["brought"] or "{}"))
        uids = {str(UUID(uid)): str(name) for name, uid in before.items()}
    except (ValueError, TypeError, AttributeError):
        uids = {}
    found = {uids[str(row.uid)]: row for row in Document.objects.filter(uid__in=list(uids))}
    for scan in form.cleaned_data["scans"]:
        found[folded_name(scan.name)] = store_document(
            data=scan.read(),
            name=scan.name,
            title=f"Last condition report: {scan.name}",
            by=request.person,
            role=role,
            at=request.at,
            field="scans",
        )
    return found


@signed_in
def take_over_list(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Bring the table, see each line with its gaps or its reasons, then take over."""
    exhibition = get_object_or_404(Exhibition, uid=uid)
    role = request.role_for(Deed.REGISTER, about_exhibition(exhibition))
    posted = request.method == "POST"
    form = TakeOverListForm(request.POST if posted else None, request.FILES if posted else None)
    fields: dict[str, Any] = form.fields
    fields["conservator"].queryset = conservators_on(museum_day(request.at))
    seen: list[tuple[Any, list[str], list[str]]] = []
    notes: tuple[str, ...] = ()
    scans: dict[str, Document] = {}
    if posted and form.is_valid():
        try:
            lines, notes = form.read()
            scans = _scans(request, form, role)
            form.carry(lines, scans)
            for one in what_lines_mean(lines, exhibition):
                gaps = [MISSING[code] for code in one.gaps]
                seen.append((one, faults_with(one, scans, request.at), gaps))
            seen.sort(key=lambda line: not line[1])  # what needs a hand stands first
            if "take_over" in request.POST and form.cleaned_data["file"] is None:
                return _ask(request, form, exhibition, role, lines, scans)
        except (UnreadableTable, UnreadableTakeOver) as trouble:
            form.add_error("file", str(trouble))
        except Refused as refused:
            refusal_to_form(form, refused)
    context = {
        "form": form,
        "exhibition": exhibition,
        "seen": seen,
        "good": sum(1 for one, faults, _ in seen if not faults and one.taken_over is None),
        "bad": sum(1 for _, faults, _ in seen if faults),
        "notes": notes,
        "scans": sorted(scans),
        "columns": COLUMNS.items(),
        "lit": lit_since(exhibition, request.at),
        "missing": MISSING.values(),
        "open": period_is_open(request.at),
    }
    return render(request, "display/take_over_list.html", context)


def _ask(
    request: SignedInRequest,
    form: TakeOverListForm,
    exhibition: Exhibition,
    role: Role,
    lines: list[TakenLine],
    scans: dict[str, Document],
) -> HttpResponse:
    conservator = form.cleaned_data["conservator"]
    if conservator is None:
        raise Refused(Reason("Name the conservator who stands beside.", "conservator"))
    work = ask_to_take_over(
        by=request.person,
        role=role,
        at=request.at,
        exhibition=exhibition,
        conservator=conservator,
        lines=lines,
        scans=scans,
    )
    messages.success(request, "The worker takes the lines over, one after the other.")
    return redirect("take-over-done", uid=work.uid)


@require_GET
@signed_in
def take_over_table(request: SignedInRequest, uid: UUID, kind: str) -> HttpResponse:
    """The table to fill in, with what is known of the exhibition's places."""
    exhibition = get_object_or_404(Exhibition, uid=uid)
    request.role_for(Deed.REGISTER, about_exhibition(exhibition))
    if kind not in ("csv", "xlsx"):
        raise Http404
    rows = [[line.get(name, "") for name in COLUMNS] for line in prefilled(exhibition)]
    if kind == "csv":
        response = HttpResponse(csv_bytes(headings(), rows), content_type="text/csv; charset=utf-8")
    else:
        sheet = xlsx_bytes(headings(), rows, exhibition.short)
        response = HttpResponse(sheet, content_type=XLSX)
    name = f"take-over-{exhibition.short}.{kind}"
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


@require_GET
@signed_in
def take_over_done(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """How far the worker is, and what became of every line, with its gaps named."""
    work = get_object_or_404(Work, uid=uid, kind=WorkKind.TAKE_OVER)
    exhibition = Exhibition.objects.filter(uid=work.inputs.get("exhibition", "")).first()
    if exhibition is None:
        raise Http404
    request.role_for(Deed.REGISTER, about_exhibition(exhibition))
    lines = outcome_of(work, exhibition)
    context = {
        "work": work,
        "state": WorkState(work.state).label,
        "under_way": work.state in (WorkState.WAITING, WorkState.RUNNING),
        "exhibition": exhibition,
        "lines": lines,
        "done": sum(1 for line in lines if line.showing is not None),
        "again": reverse("take-over-list", args=[exhibition.uid]),
    }
    part = request.htmx and not request.htmx.boosted
    name = "display/take_over_done_part.html" if part else "display/take_over_done.html"
    return render(request, name, context)
