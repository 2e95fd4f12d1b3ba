"""Bring objects in from a table: upload, columns, preview, progress, result, taking back."""

from collections.abc import Callable
from typing import Any, Final
from uuid import UUID

from django import forms
from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from lifecycle.actions.objects import bringing_in
from lifecycle.actions.objects.taking_back import ask_to_take_back
from lifecycle.actions.refusals import Refused
from lifecycle.actions.work import rows
from lifecycle.exchange.object_table.columns import COLUMNS
from lifecycle.exchange.object_table.comparing import Planned
from lifecycle.exchange.tables.writing import Value
from lifecycle.pages.door import SignedInRequest, refusal_to_form, signed_in
from lifecycle.pages.form_page import may_one_of, role_for_one_of
from lifecycle.pages.objects.lists import BRINGERS
from lifecycle.pages.objects.table_preview import (
    NOT_SHOWN,
    list_names,
    missing_places,
    preview_of,
)
from lifecycle.pages.tables_out import FileKind, ListTable, as_file
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.object_tables import back_of, tables_brought
from lifecycle.records.models.work import Work, WorkKind, WorkState

GROUPS: Final = ("bad", "new", "changed", "unchanged")
A_PAGE: Final = 50
EXAMPLES: Final = 3


class TableForm(forms.Form):
    """The file itself."""

    table = forms.FileField(
        label="Table",
        help_text="CSV or XLSX, with headings. Other columns than ours may stand in it.",
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,.xlsx,.xlsm,.txt,.tsv"}),
    )


class ColumnsForm(forms.Form):
    """For each column of the table, which of ours it is."""

    def __init__(self, work: Work, data: Any = None) -> None:
        super().__init__(data)
        choices = [("", "leave out"), *((one.key, one.heading) for one in COLUMNS)]
        for n, (heading, key) in enumerate(
            zip(work.inputs["headings"], work.inputs["keys"], strict=True)
        ):
            self.fields[f"column_{n}"] = forms.ChoiceField(
                label=heading, choices=choices, required=False, initial=key
            )

    def keys(self) -> list[str]:
        return [str(self.cleaned_data[name]) for name in self.fields]


def _role(request: SignedInRequest) -> Role:
    return role_for_one_of(request, BRINGERS)


def _role_for_words(request: SignedInRequest) -> Role:
    """Who is steward too answers as steward: only then may words be added to vocabularies."""
    return Role.STEWARD if request.may(Deed.STEWARD) else _role(request)


def _acting(request: SignedInRequest) -> dict[str, Any]:
    return {"by": request.person, "role": _role(request), "at": request.at}


def _table(uid: UUID) -> Work:
    return get_object_or_404(
        Work.objects.select_related("asked_by"), uid=uid, kind=WorkKind.IMPORT_OBJECTS
    )


@signed_in
def bring_in(request: SignedInRequest) -> HttpResponse:
    """Choose a file; below it, the tables that were brought before."""
    acting = _acting(request)
    form = TableForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        sent = form.cleaned_data["table"]
        try:
            work = bringing_in.bring_table(**acting, data=sent.read(), name=sent.name)
        except Refused as refused:
            refusal_to_form(form, refused)
        else:
            return redirect("object-table-columns", uid=work.uid)
    context = {"form": form, "tables": tables_brought()}
    return render(request, "objects/bring_in/start.html", context)


@require_GET
@signed_in
def template(request: SignedInRequest, kind: FileKind) -> HttpResponse:
    """An empty table with our headings and a line that explains each."""
    _role(request)
    headings = [column.heading for column in COLUMNS]
    table = ListTable("objects template", headings, [[column.says for column in COLUMNS]])
    return as_file(table, kind)


@signed_in
def columns(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Which column is which; what was chosen last time is suggested."""
    acting = _acting(request)
    work = _table(uid)
    if work.state != WorkState.PREPARING:
        return redirect("object-table", uid=uid)
    if request.method == "POST" and "sheet" in request.POST:
        return _chosen_sheet(request, work, acting)
    form = ColumnsForm(work, request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            bringing_in.choose_columns(**acting, uid=uid, keys=form.keys())
        except Refused as refused:
            refusal_to_form(form, refused)
        else:
            return redirect("object-table", uid=uid)
    table = bringing_in.table_of(work)
    examples = [
        " · ".join(
            [line.cells[n].text[:60] for line in table.lines[:60] if line.cells[n].text][:EXAMPLES]
        )
        for n in range(len(table.headings))
    ]
    context = {
        "work": work,
        "form": form,
        "lines": list(zip(form, examples, strict=True)),
        "table": table,
        "left_out": sum(1 for key in work.inputs["keys"] if not key),
    }
    return render(request, "objects/bring_in/columns.html", context)


def _chosen_sheet(request: SignedInRequest, work: Work, acting: dict[str, Any]) -> HttpResponse:
    try:
        bringing_in.choose_sheet(**acting, uid=work.uid, sheet=request.POST.get("sheet", ""))
    except Refused as refused:
        messages.error(request, str(refused))
    return redirect("object-table-columns", uid=work.uid)


@require_GET
@signed_in
def table(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """One table: its preview, how far it has come, or what came of it."""
    _role(request)
    work = _table(uid)
    if work.state == WorkState.PREPARING:
        return _preview(request, work)
    bad = Paginator(work.results.get("bad", []), A_PAGE).get_page(request.GET.get("page"))
    back = back_of(work)
    shown = back or work
    open_states = (WorkState.WAITING, WorkState.RUNNING)
    left = Paginator(back.results.get("left", []) if back else [], A_PAGE)
    context = {
        "work": work,
        "back": back,
        "shown": shown,
        "moving": shown.state in open_states,
        "may_stop": shown.state in open_states
        and not shown.stop_asked_at
        and (shown.asked_by_id == request.person.pk or request.may(Deed.STEWARD)),
        "may_take_back": back is None or back.state in (WorkState.STOPPED, WorkState.FAILED),
        "page": bad,
        "left": left.get_page(request.GET.get("page")),
    }
    part = request.htmx and not request.htmx.boosted
    name = "objects/bring_in/result_part.html" if part else "objects/bring_in/result.html"
    return render(request, name, context)


def _preview(request: SignedInRequest, work: Work) -> HttpResponse:
    if "object_number" not in work.inputs["keys"]:
        return redirect("object-table-columns", uid=work.uid)
    preview = preview_of(work, _role_for_words(request), _role(request))
    plan = preview.plan
    groups: dict[str, Any] = {
        "bad": preview.bad,
        "new": plan.new,
        "changed": plan.changed,
        "unchanged": plan.unchanged,
    }
    first = next((name for name in GROUPS if groups[name]), "new")
    asked = request.GET.get("show", "")
    group = asked if asked in groups else first
    page = Paginator(groups[group], A_PAGE).get_page(request.GET.get("page"))
    if group == "changed" and not may_one_of(request, (Deed.EXAMINE, Deed.REGISTER)):
        for one in page.object_list:
            _hide_restriction(one)
    context = {
        "work": work,
        "preview": preview,
        "groups": [(name, len(groups[name])) for name in GROUPS],
        "group": group,
        "page": page,
        "keep": f"show={group}",
    }
    return render(request, "objects/bring_in/preview.html", context)


def _hide_restriction(planned: Planned) -> None:
    """What is on record about restrictions is for those who examine or register."""
    planned.changes = [
        type(one)(one.heading, NOT_SHOWN, one.new)
        if one.heading == "cultural restriction" and one.old
        else one
        for one in planned.changes
    ]


@require_POST
@signed_in
def words(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Say what words of the table stand for that no list has."""
    acting = _acting(request) | {"role": _role_for_words(request)}
    work = _table(uid)
    said: dict[tuple[str, str], str] = {}
    places: set[str] = set()
    for name in request.POST:
        meaning = request.POST.get(name, "")
        n = name.removeprefix("meaning_")
        word, list_name = request.POST.get(f"word_{n}", ""), request.POST.get(f"list_{n}", "")
        if n == name or not word or list_name not in list_names():
            continue
        if list_name == "place" and meaning == bringing_in.ADD:
            places.add(word)
        else:
            said[list_name, word] = meaning

    def act() -> str:
        missing = missing_places(work) if places else {}
        bringing_in.say_meanings(
            **acting,
            uid=uid,
            meanings=said,
            places=[missing[word] for word in sorted(places) if word in missing],
        )
        return "The answers are kept; the preview is made anew with them."

    return _done(request, uid, act)


@require_POST
@signed_in
def deed(request: SignedInRequest, uid: UUID, deed: str) -> HttpResponse:
    """Go ahead, put aside, stop, or take back."""
    acting = _acting(request)
    _table(uid)

    def act() -> str:
        match deed:
            case "go-ahead":
                bringing_in.go_ahead(**acting, uid=uid)
                return "The table is handed to the worker; how far it is stands below."
            case "put-aside":
                bringing_in.put_aside(**acting, uid=uid)
                return "The table is put aside; nothing was written."
            case "take-back":
                ask_to_take_back(**acting, uid=uid)
                return "The table is being taken back; how far it is stands below."
        shown = back_of(_table(uid)) or _table(uid)
        rows.stop(uid=str(shown.uid), **acting)
        return "The work stops after its present part; what is in stays in."

    return _done(request, uid, act, back="objects-bring-in" if deed == "put-aside" else "")


def _done(
    request: SignedInRequest, uid: UUID, act: Callable[[], str], *, back: str = ""
) -> HttpResponse:
    try:
        messages.success(request, act())
    except Refused as refused:
        for reason in refused.reasons:
            messages.error(request, reason.text)
    return redirect(reverse(back) if back else reverse("object-table", args=[uid]))


@require_GET
@signed_in
def bad_lines(request: SignedInRequest, uid: UUID, kind: FileKind) -> HttpResponse:
    """The lines that were not taken, or would not be, with their reasons."""
    role = _role(request)
    work = _table(uid)
    found: list[list[Value]] = work.results.get("bad", [])
    if work.state == WorkState.PREPARING:
        bad = preview_of(work, role, role).bad
        found = [[one.number, one.object_number, " ".join(one.reasons)] for one in bad]
    return as_file(ListTable("lines not taken", ["line", "object number", "reason"], found), kind)
