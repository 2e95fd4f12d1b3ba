"""Sequences of usual steps: the list, writing one, and logging one at the bench in one go."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.forms import formset_factory
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from lifecycle.actions.refusals import Conflict, NotAllowed, Refused
from lifecycle.actions.treatment.sequences import (
    UsualStep,
    log_sequence,
    put_sequence_away,
    write_sequence,
)
from lifecycle.pages.display.seeing import cautions_of
from lifecycle.pages.door import SignedInRequest, refusal_to_form, signed_in
from lifecycle.pages.errors import conflict_page
from lifecycle.pages.moments import moment_field
from lifecycle.pages.treatment.forms import prose
from lifecycle.pages.treatment.materials import may_read_materials
from lifecycle.pages.treatment.seeing import (
    about_proposal,
    materials_offered,
    offer_materials,
    open_showing_of,
    posted,
    seen_proposal,
    words_of,
)
from lifecycle.pages.treatment.step_form import AtBenchForm, done_of, figure
from lifecycle.process.cautions import CautionFor
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.changes import changes_of
from lifecycle.queries.rights import about_object
from lifecycle.queries.treatment.bench import bench_of
from lifecycle.queries.treatment.cautions import at_bench, object_cautions
from lifecycle.queries.treatment.sequences import batches_for, sequences, sequences_in_use
from lifecycle.records.models.objects import MuseumObject
from lifecycle.records.models.showings import Showing
from lifecycle.records.models.treatment import (
    Material,
    Proposal,
    StepSequence,
    StepSequenceLine,
)
from lifecycle.records.models.words import Vocabulary, Word

LINE = ("material_name", "grade", "concentration", "amount", "minutes", "temperature_c", "result")


class SequenceForm(forms.Form):
    """What the sequence is called and for."""

    version = forms.IntegerField(widget=forms.HiddenInput, initial=1)
    name = forms.CharField(label="Name", max_length=120)
    used_for = prose("What it is for", rows=2)


class LineForm(forms.Form):
    """One usual step; a row without a step is left out."""

    step = forms.ModelChoiceField(
        Word.objects.none(), to_field_name="uid", label="Step", required=False
    )
    material_name = forms.CharField(label="Material", max_length=120, required=False)
    grade = forms.CharField(label="Grade", max_length=120, required=False)
    concentration = figure("Strength, %", max_digits=5, decimal_places=2)
    amount = forms.CharField(label="Amount", max_length=80, required=False)
    minutes = figure("Minutes", max_digits=7, decimal_places=1)
    temperature_c = figure("Temperature, °C", max_digits=5, decimal_places=1)
    hours = figure("Hours", max_digits=5, decimal_places=2, initial=Decimal("0.25"))
    result = forms.CharField(label="Usual result", max_length=2000, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["step"].queryset = words_of(Vocabulary.TREATMENT_STEP)

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        if data.get("step") and data.get("hours") is None and "hours" not in self.errors:
            self.add_error("hours", "Say how long it usually takes.")
        return data


LineRows = formset_factory(LineForm, extra=2, max_num=20, validate_max=True)


@require_GET
@signed_in
def sequence_list(request: SignedInRequest) -> HttpResponse:
    """Every sequence, those put away too."""
    if not may_read_materials(request):
        raise NotAllowed("Sequences of steps are read by those who work on objects.")
    context = {"rows": sequences(), "may_write": request.may(Deed.TREAT)}
    return render(request, "treatment/sequences.html", context)


@signed_in
def sequence_write(request: SignedInRequest, uid: UUID | None = None) -> HttpResponse:
    """Write a new sequence, or change one."""
    role = request.role_for(Deed.TREAT)
    row = None if uid is None else get_object_or_404(sequences(), uid=uid)
    start = {} if row is None else {"name": row.name, "used_for": row.used_for}
    head = SequenceForm(posted(request), initial=start | {"version": row.edition if row else 1})
    initial = None if row is None or request.method == "POST" else _initial(row.lines.all())
    rows: Any = LineRows(posted(request), prefix="lines", initial=initial)
    back = reverse("step-sequences")
    if request.method == "POST" and all([head.is_valid(), rows.is_valid()]):
        data = head.cleaned_data
        try:
            made = write_sequence(
                by=request.person,
                role=role,
                at=request.at,
                name=data["name"],
                used_for=data["used_for"],
                lines=[UsualStep(**one) for one in rows.cleaned_data if one.get("step")],
                sequence=row,
                edition=data["version"],
            )
        except Conflict as conflict:
            return conflict_page(request, conflict, head, back=back)
        except Refused as refused:
            refusal_to_form(head, refused)
        else:
            messages.success(request, f"“{made.name}” is saved.")
            more = reverse("step-sequence", args=[made.uid])
            return redirect(more if "more" in request.POST else back)
    context = {
        "row": row,
        "head": head,
        "rows": rows,
        "back": back,
        "changes": changes_of(row) if row else (),
    }
    return render(request, "treatment/sequence_write.html", context)


def _initial(lines: Sequence[StepSequenceLine]) -> list[dict[str, Any]]:
    return [
        {name: getattr(line, name) for name in (*LINE, "hours")} | {"step": line.step.uid}
        for line in lines
    ]


@require_POST
@signed_in
def sequence_away(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Offer a sequence no longer, or again."""
    role = request.role_for(Deed.TREAT)
    row = get_object_or_404(StepSequence, uid=uid)
    away = row.retired_on is None
    put_sequence_away(by=request.person, role=role, at=request.at, sequence=row, away=away)
    said = "is put away" if away else "is offered again"
    messages.success(request, f"“{row.name}” {said}.")
    return redirect("step-sequences")


class RunForm(AtBenchForm):
    """What the steps of one run have in common."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    observed_at = moment_field("Done at", help_text="When the last of them was done.")


class RunRowForm(forms.Form):
    """One step of the run, filled with what is usual; take the tick out if it was not done."""

    was_done = forms.BooleanField(label="Done", required=False, initial=True)
    material = forms.ModelChoiceField(
        Material.objects.none(), to_field_name="uid", label="Material and batch", required=False
    )
    concentration = figure("Strength, %", max_digits=5, decimal_places=2)
    amount = forms.CharField(label="Amount", max_length=80, required=False)
    minutes = figure("Minutes", max_digits=7, decimal_places=1)
    temperature_c = figure("Temperature, °C", max_digits=5, decimal_places=1)
    result = forms.CharField(label="Result", max_length=20_000, required=False)
    hours = figure("Hours", max_digits=5, decimal_places=2)

    def __init__(self, *args: Any, offered: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer_materials(self.fields["material"], offered)

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        if data.get("was_done"):
            for name, text in (("result", "Say what came of it."), ("hours", "Give the hours.")):
                if data.get(name) in (None, "") and name not in self.errors:
                    self.add_error(name, text)
        return data


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a sequence is run: under a proposal, or on an object under a standing consent."""

    thing: MuseumObject
    role: Role
    back: str
    where: str
    proposal: Proposal | None = None
    showing: Showing | None = None


@signed_in
def sequence_run(request: SignedInRequest, uid: UUID, sequence: UUID) -> HttpResponse:
    """Log the steps of one sequence under a proposal, all or none."""
    proposal = seen_proposal(request, uid)
    place = Place(
        thing=proposal.museum_object,
        role=request.role_for(Deed.TREAT, about_proposal(proposal)),
        back=reverse("bench", args=[uid]),
        where=f"Bench: {proposal.proposal_no}",
        proposal=proposal,
    )
    return _run(request, sequence, place, {"bench": bench_of(proposal, request.at)})


@signed_in
def sequence_run_object(request: SignedInRequest, uid: UUID, sequence: UUID) -> HttpResponse:
    """Log a sequence of minor steps under the standing consents that cover them, all or none."""
    thing = get_object_or_404(MuseumObject.objects.select_related("object_type", "lender"), uid=uid)
    place = Place(
        thing=thing,
        role=request.role_for(Deed.TREAT, about_object(thing)),
        back=reverse("bench-object", args=[uid]),
        where=f"Minor steps on {thing.object_number}",
        showing=open_showing_of(thing),
    )
    return _run(request, sequence, place, {"media": object_cautions(at_bench(thing))})


def _run(
    request: SignedInRequest, sequence: UUID, place: Place, more: dict[str, Any]
) -> HttpResponse:
    thing = place.thing
    row = get_object_or_404(sequences_in_use(), uid=sequence)
    lines = list(row.lines.all())
    head = RunForm(posted(request), initial={"observed_at": request.at, "version": row.edition})
    head.offer_places(thing)
    forms_of = _row_forms(request, lines)
    if request.method == "POST" and all([head.is_valid(), *(one.is_valid() for one in forms_of)]):
        try:
            if head.cleaned_data["version"] != row.edition:
                text = f"“{row.name}” was changed meanwhile: look at its steps, and send it again."
                raise Refused(text)  # noqa: TRY301 - answered as what the action refuses
            steps = log_sequence(
                by=request.person,
                role=place.role,
                at=request.at,
                museum_object=thing,
                proposal=place.proposal,
                showing=place.showing,
                done=_done(head, forms_of, lines),
            )
        except Refused as refused:
            _place(refused, head, forms_of)
        else:
            said = ", ".join(step.step.label for step in steps)
            messages.success(request, f"Logged: {said} on {thing.object_number}.")
            return redirect(place.back)
    context = {
        "place": place,
        "row": row,
        "head": head,
        "rows": list(zip(lines, forms_of, strict=True)),
        "cautions": cautions_of(thing, CautionFor.TREAT),
        **more,
    }
    return render(request, "treatment/sequence_run.html", context)


def _row_forms(request: SignedInRequest, lines: Sequence[StepSequenceLine]) -> list[RunRowForm]:
    batches, offered = batches_for(lines), materials_offered(request.at)
    names = ("concentration", "amount", "minutes", "temperature_c", "result", "hours")
    found = []
    for line in lines:
        start: dict[str, Any] = {name: getattr(line, name) for name in names}
        if line.pk in batches:
            start["material"] = batches[line.pk].uid
        found.append(
            RunRowForm(posted(request), prefix=f"row-{line.order}", initial=start, offered=offered)
        )
    return found


def _done(
    head: RunForm, forms_of: Sequence[RunRowForm], lines: Sequence[StepSequenceLine]
) -> list[tuple[int, Any]]:
    return [
        (line.order, done_of({**head.cleaned_data, **form.cleaned_data, "step": line.step}, ()))
        for line, form in zip(lines, forms_of, strict=True)
        if form.cleaned_data["was_done"]
    ]


def _place(refused: Refused, head: RunForm, forms_of: Sequence[RunRowForm]) -> None:
    """Put a reason beside its field in its row, in the head, or on top."""
    rows = {form.prefix: form for form in forms_of}
    for reason in refused.reasons:
        prefix, _, name = reason.field.rpartition("-")
        row = rows.get(prefix)
        if row is not None and name in row.fields:
            row.add_error(name, reason.text)
        elif row is not None and name not in head.fields:
            row.add_error("was_done", reason.text)
        elif reason.text not in head.errors.get(name, []):
            head.add_error(name if name in head.fields else None, reason.text)
