"""Read a filled sheet back: its boxes and lines in the order of the paper, by keyboard alone."""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from itertools import groupby
from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.text import capfirst

from lifecycle.actions.papers_out import Return
from lifecycle.actions.pictures import store_document
from lifecycle.actions.reading_back.deciding import DIFFERS, RECORD, SHEET, Filled
from lifecycle.actions.reading_back.reading import READ_BACK, Sheet, deeds_to_read_back, read_back
from lifecycle.actions.refusals import Refused
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import role_for_one_of
from lifecycle.pages.papers.forms import BackForm
from lifecycle.pages.papers.printing import seen_print
from lifecycle.papers.printed import plan_of
from lifecycle.papers.sheets.asked import Asked, How, asked_of
from lifecycle.papers.standing import moved_on
from lifecycle.process.rights import NOTHING
from lifecycle.process.stages import Role
from lifecycle.queries.papers_out import objects_of, returns_of, subjects_of
from lifecycle.records.models import Document, Print, PrintReturn

#: A table of more lines is folded while nothing stands in it: the keyboard passes it by.
MOST_OPEN = 12
CHOICE = "stands-"
BEFORE = ("sheet_code", "observed_at", "written_by_name", "written_by")
AFTER = ("scan", "kept_scan", "no_scan_because", "original_kept_at", "note", "first_seen")


NO_CODE = "Type the short code that stands below the QR code of the sheet in your hand."


class ReadBackForm(BackForm):
    """What stands on one sheet: who and when, then every question of the paper, none ticked."""

    sheet_code = forms.CharField(
        label="Short code on the sheet",
        error_messages={"required": NO_CODE},
        max_length=16,
        help_text="Seven letters below the QR code: they tell that this is the sheet in your hand.",
        widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
    )
    kept_scan = forms.UUIDField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, asked: Iterable[Asked], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for one in asked:
            self.fields[one.key] = _field_of(one)

    def carry_scan(self, kept: Document) -> None:
        """Carry a scan that is kept over to the next time the form is sent."""
        before: Any = self.data
        data = before.copy()
        data["kept_scan"] = str(kept.uid)
        self.data = data

    def filled(self, asked: Iterable[Asked]) -> list[Filled]:
        """The answers, in the order of the paper."""
        return [
            Filled(key=one.key, part=one.part, label=_label(one), answer=self._answer(one))
            for one in asked
        ]

    def _answer(self, one: Asked) -> tuple[str, ...]:
        value = self.cleaned_data.get(one.key)
        if one.how is How.TICKS:
            return tuple(value or ())
        text = str(value or "").strip()
        return (text,) if text else ()


def _label(one: Asked) -> str:
    return f"{one.row}: {one.label}" if one.row else one.label


def _field_of(one: Asked) -> forms.Field:
    label = capfirst(one.label)
    if one.how is How.TICKS:
        return forms.MultipleChoiceField(
            label=label,
            required=False,
            choices=[(option, option) for option in one.options],
            widget=forms.CheckboxSelectMultiple,
        )
    if one.how is How.LINES:
        lines = forms.Textarea(attrs={"rows": 4})
        return forms.CharField(label=label, required=False, max_length=4000, widget=lines)
    return forms.CharField(label=label, required=False, max_length=500)


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One question on the page, with what an earlier sheet says, and what is to be decided."""

    field: Any
    earlier: tuple[str, ...] = ()
    differs: str = ""
    choice: str = ""

    @property
    def name(self) -> str:
        return f"{CHOICE}{self.field.name}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """What belongs on one line of a table of the sheet; without a name it stands alone."""

    name: str
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """The questions under one heading of the paper; long tables are folded."""

    title: str
    rows: tuple[Row, ...]
    folded: bool = field(default=False)


@signed_in
def print_read_back(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Type in what stands on a sheet; what can't be kept comes back with everything typed."""
    row = seen_print(request, uid)
    if row.paper not in {kind.value for kind in READ_BACK}:
        raise Http404("This paper is not read back line by line: say that it came back.")
    subjects = subjects_of(objects_of([row]))
    deeds = deeds_to_read_back(row)
    role = role_for_one_of(request, deeds, subjects[0] if subjects else NOTHING)
    asked = asked_of(plan_of(row.paper, row.words))
    earlier = returns_of(row)
    form = ReadBackForm(
        request.POST or None, request.FILES or None, second=bool(earlier), asked=asked
    )
    choices = {
        name.removeprefix(CHOICE): value
        for name, value in request.POST.items()
        if name.startswith(CHOICE) and value in {SHEET, RECORD}
    }
    differs: dict[str, str] = {}
    if request.method == "POST" and form.is_valid():
        try:
            return _keep(request, row, form, asked, choices, role)
        except Refused as refused:
            for reason in refused.reasons:
                if reason.code == DIFFERS:
                    differs[reason.field] = reason.text
                form.add_error(reason.field if reason.field in form.fields else None, reason.text)
    context = {
        "print": row,
        "form": form,
        "before": [form[name] for name in BEFORE],
        "after": [form[name] for name in AFTER if name in form.fields],
        "parts": _parts(form, asked, earlier, differs, choices),
        "earlier": earlier,
        "moved_on": moved_on(row),
        "kept": _kept_scan(form),
        "objects": sorted(one.museum_object.object_number for one in row.about.all()),
    }
    return render(request, "papers/read_back.html", context, status=409 if differs else 200)


def _keep(
    request: SignedInRequest,
    row: Print,
    form: ReadBackForm,
    asked: tuple[Asked, ...],
    choices: dict[str, str],
    role: Role,
) -> HttpResponse:
    details = _details(request, row, form, role)
    done = read_back(
        by=request.person,
        role=role,
        at=request.at,
        row=row,
        sheet=Sheet(
            code=form.cleaned_data["sheet_code"],
            filled=form.filled(asked),
            details=details,
            choices=choices,
        ),
    )
    went = f" and went into {', '.join(done.targets)}" if done.targets else ""
    messages.success(request, f"{row.print_no} is read back{went}.")
    return redirect("print", uid=row.uid)


def _details(request: SignedInRequest, row: Print, form: ReadBackForm, role: Role) -> Return:
    """The return; a scan is kept at once, since a browser gives files up with a refused form."""
    details = form.details()
    kept = _kept_scan(form)
    if details.scan is not None:
        kept = store_document(
            data=details.scan,
            name=details.scan_name,
            title=f"Scan of {row.print_no}",
            by=request.person,
            role=role,
            at=request.at,
            field="scan",
        )
        form.carry_scan(kept)
    return replace(details, scan=None, kept_scan=kept)


def _kept_scan(form: ReadBackForm) -> Document | None:
    uid = form["kept_scan"].value()
    try:
        return Document.objects.filter(uid=UUID(str(uid))).first() if uid else None
    except ValueError:
        return None


def _parts(
    form: ReadBackForm,
    asked: tuple[Asked, ...],
    earlier: list[PrintReturn],
    differs: dict[str, str],
    choices: dict[str, str],
) -> list[Part]:
    """The questions under their headings, with the earlier sheet's answers beside them."""
    before: dict[str, list[str]] = {}
    for returned in earlier:
        for line in returned.written:
            said = f"Return {returned.nth}: {line['answer'] or 'nothing'}"
            before.setdefault(line["key"], []).append(said)

    def line_of(one: Asked) -> Line:
        return Line(
            field=form[one.key],
            earlier=tuple(before.get(one.key, ())),
            differs=differs.get(one.key, ""),
            choice=choices.get(one.key, ""),
        )

    parts = []
    for title, questions in groupby(asked, key=lambda one: one.part):
        rows = [
            Row(name=name, lines=tuple(line_of(one) for one in group))
            for name, group in groupby(questions, key=lambda one: one.row)
        ]
        many = len(rows) > MOST_OPEN and all(row.name for row in rows)
        empty = not any(line.field.value() for row in rows for line in row.lines)
        parts.append(Part(title=title, rows=tuple(rows), folded=many and empty))
    return parts
