"""Mounts: ask, ticket, materials, put aside."""

from typing import Any
from uuid import UUID

from django import forms
from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_GET

from lifecycle.actions.papers_out.allowed import TO_PRINT
from lifecycle.actions.preparation.mounts import (
    MountMeasured,
    add_mount_material,
    ask_for_mount,
    measure_mount,
    put_mount_aside,
)
from lifecycle.pages.display.seeing import called, cautions_of, seen_showing, showing_address
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.faces_asked import face_asked
from lifecycle.pages.fields import day_field
from lifecycle.pages.form_page import Done, FormPage, answer_form, may_one_of, role_for_one_of
from lifecycle.pages.moments import moment_field
from lifecycle.pages.preparation.record import (
    Fact,
    RecordPage,
    Way,
    WhyForm,
    about,
    back_to,
    show_record,
    text,
    who,
    worked_back_help,
)
from lifecycle.pages.treatment.forms import prose
from lifecycle.pages.treatment.materials import may_read_materials
from lifecycle.pages.treatment.seeing import materials_offered, offer_materials, posted, words_of
from lifecycle.process.cautions import CautionFor
from lifecycle.process.rights import Deed, SubjectFacts
from lifecycle.process.stages import Role
from lifecycle.queries.preparation.facts import signed_by_both
from lifecycle.queries.preparation.mounts import faces_without_mount, fixing_steps
from lifecycle.queries.preparation.people import holders_of, the_only
from lifecycle.queries.rights import about_showing
from lifecycle.queries.signed_text.registry import signatures_of
from lifecycle.queries.worked_back import mount_needed, schedule_of
from lifecycle.records.models.objects import Face
from lifecycle.records.models.papers_out import PaperKind
from lifecycle.records.models.people import Person
from lifecycle.records.models.preparation import FitCheck, Mount
from lifecycle.records.models.showings import Showing
from lifecycle.records.models.treatment import Material
from lifecycle.records.models.words import Vocabulary, Word

ASKING = (Deed.PREPARE, Deed.CHOOSE)


class AskForm(forms.Form):
    """Which mount for which faces."""

    kind = forms.ModelChoiceField(Word.objects.none(), to_field_name="uid", label="Kind")
    faces = forms.ModelMultipleChoiceField(
        Face.objects.none(),
        to_field_name="uid",
        label="For the faces",
        widget=forms.CheckboxSelectMultiple,
    )
    with_whom = forms.ModelChoiceField(
        Person.objects.none(), to_field_name="uid", label="Mount maker", required=False
    )
    needed_by = day_field("Needed by", required=False)

    def offer(self, showing: Showing, request: SignedInRequest) -> None:
        fields: dict[str, Any] = self.fields
        fields["kind"].queryset = words_of(Vocabulary.MOUNT_KIND)
        fields["faces"].queryset = Face.objects.filter(
            museum_object=showing.museum_object
        ).order_by("order", "pk")
        asked = face_asked(request, fields["faces"].queryset)
        chosen = [asked] if asked is not None else faces_without_mount(showing)
        fields["faces"].initial = [face.uid for face in chosen]
        fields["with_whom"].queryset = holders_of(Role.MOUNT_MAKER, request.at)
        fields["with_whom"].initial = the_only(fields["with_whom"].queryset)
        plan = schedule_of(showing, request.at)
        fields["needed_by"].help_text = worked_back_help(
            (one.label, plan.mount([one.face_id])) for one in plan.periods
        )


@signed_in
def mount_ask(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Open a mount ticket."""
    showing = seen_showing(request, uid)
    role = role_for_one_of(request, ASKING, about_showing(showing))
    form = AskForm(posted(request))
    form.offer(showing, request)

    def act(data: dict[str, Any]) -> Done:
        made = ask_for_mount(by=request.person, role=role, at=request.at, showing=showing, **data)
        return Done(f"{made.mount_no} is asked for.", reverse("mount", args=[made.uid]))

    page = FormPage(
        title=f"Ask for a mount for {called(showing)}",
        submit="Open the ticket",
        back=showing_address(showing, "preparation"),
        lead="Every face of the plan needs one. A cradle is made for one book at one opening.",
        cautions=cautions_of(showing.museum_object, CautionFor.INSTALL),
    )
    return answer_form(request, form, act, page)


def seen_mount(request: SignedInRequest, uid: UUID) -> tuple[Mount, SubjectFacts]:
    row = get_object_or_404(
        Mount.objects.select_related(
            "museum_object",
            "showing__exhibition",
            "kind",
            "with_whom",
            "asked_by",
            "measured_by",
            "fixing_picture",
        ),
        uid=uid,
    )
    subject = about(row.showing, row.museum_object)
    request.role_for(Deed.SEE_SHOWING, subject)
    return row, subject


@require_GET
@signed_in
def mount(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """One mount: ticket, materials, fit checks."""
    row, subject = seen_mount(request, uid)
    lines = list(row.faces.filter(dropped=False).select_related("face"))
    checks = list(
        row.fit_checks.select_related("face", "mount_maker", "conservator", "photo").order_by(
            "-checked_at", "-pk"
        )
    )
    both = signed_by_both(checks)
    materials = row.materials.filter(dropped=False).select_related("material", "accepted_by")
    ways = []
    if row.retired_at is None and request.may(Deed.PREPARE, subject):
        ways = [
            Way(href=reverse("mount-measure", args=[uid]), label="Write the ticket"),
            Way(href=reverse("fixing-step-new", args=[uid]), label="Add a fixing step"),
            Way(href=reverse("mount-material", args=[uid]), label="Add a material"),
            Way(href=reverse("fit-check", args=[uid]), label="Fit check", main=True),
            Way(
                href=reverse("print-new", args=[PaperKind.MOUNT_LABEL.value, uid]),
                label="Print its label",
            ),
            Way(href=reverse("mount-aside", args=[uid]), label="Put it aside"),
        ]
    if row.retired_at is None and may_one_of(request, TO_PRINT[PaperKind.MOUNT_TICKET], subject):
        address = reverse("print-new", args=[PaperKind.MOUNT_TICKET.value, uid])
        ways.append(Way(href=address, label="Print the ticket"))
    steps = fixing_steps(row)
    plan = schedule_of(row.showing, request.at) if row.showing and not row.retired_at else None
    needed = mount_needed(row, [line.face_id for line in lines], plan)
    fits = any(str(check.uid) in both for check in checks)
    page = RecordPage(
        title=f"Mount {row.mount_no}",
        museum_object=row.museum_object,
        back=back_to(row.showing, row.museum_object),
        record=row,
        mark="square" if row.retired_at else "done" if fits else "with_someone",
        word="put aside" if row.retired_at else "fit check signed" if fits else "being made",
        ways=ways,
        pictures=[one for one in (*(c.photo for c in checks), row.fixing_picture) if one],
        facts=[
            text("Kind", row.kind.label),
            text("For the faces", ", ".join(line.face.label for line in lines)),
            text("Mount maker", row.with_whom or ""),
            Fact(label="Needed by", day=needed.on),
            text("Worked back", needed.because),
            who("Asked by", row.asked_by, row.asked_at),
            who("Measured from the object by", row.measured_by, row.measured_at),
            Fact(label="Angle", number=row.angle_deg, unit="°"),
            Fact(label="Opening left", number=row.opening_left_mm, unit="mm"),
            Fact(label="Opening right", number=row.opening_right_mm, unit="mm"),
            Fact(label="Thickness step at gutter", number=row.gutter_step_mm, unit="mm"),
            text("Contact points", row.contact_points),
            text("Restraint", row.restraint),
            text(
                "Can be taken out without touching its neighbours",
                {True: "yes", False: "no", None: ""}[row.removable_alone],
            ),
            text("How it is fixed", row.fixing_instruction),
            text("Goes back with the object", "yes" if row.goes_back else "no"),
            text("Put aside because", row.retired_why) if row.retired_at else text("In use", "yes"),
        ],
    )
    opens = may_read_materials(request)
    tables = [
        {
            "title": "Materials",
            "heads": ["Material", "Acceptance", "Accepted by"],
            "rows": [
                {
                    "cells": [line.material, line.get_acceptance_display(), line.accepted_by or ""],
                    "href": reverse("material", args=[line.material.uid]) if opens else "",
                    "link": "Open",
                }
                for line in materials.order_by("pk")
            ],
            "empty": "What the mount is made of, and whether that is accepted near objects.",
        },
        {
            "title": "Fit checks",
            "heads": ["Face", "Result", "Object present", "People", "Signed", "Note"],
            "rows": [_check_row(check, both, request) for check in checks],
            "empty": "The object tried in its mount, signed by mount maker and conservator.",
        },
    ]
    writes = row.retired_at is None and request.may(Deed.PREPARE, subject)
    return show_record(request, page, tables=tables, steps=steps, may_write_steps=writes)


def _check_row(check: FitCheck, both: frozenset[str], request: SignedInRequest) -> dict[str, Any]:
    names = ", ".join(s.person.full_name for s in signatures_of(check))
    mine = request.person.pk in (check.mount_maker_id, check.conservator_id)
    row: dict[str, Any] = {
        "cells": [
            check.face.label,
            check.get_result_display(),
            "yes" if check.object_present else "no",
            f"{check.mount_maker} and {check.conservator}",
            names or "nobody yet",
            check.note,
        ]
    }
    if mine and str(check.uid) not in both:
        row |= {"href": reverse("fit-sign", args=[check.uid]), "link": "Sign it"}
    return row


class MeasureForm(forms.Form):
    """The ticket, measured from the object."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    measured_at = moment_field("Measured from the object at", required=False)
    measured_by = forms.ModelChoiceField(
        Person.objects.none(), to_field_name="uid", label="Measured by", required=False
    )
    angle_deg = forms.IntegerField(label="Angle, °", min_value=0, max_value=180, required=False)
    opening_left_mm = forms.DecimalField(
        label="Opening left, mm", min_value=0, max_digits=7, decimal_places=1, required=False
    )
    opening_right_mm = forms.DecimalField(
        label="Opening right, mm", min_value=0, max_digits=7, decimal_places=1, required=False
    )
    gutter_step_mm = forms.DecimalField(
        label="Thickness step at gutter, mm",
        min_value=0,
        max_digits=6,
        decimal_places=1,
        required=False,
    )
    contact_points = prose(
        "Contact points", rows=2, help_text="Weak areas carried, padded contact, no slip."
    )
    restraint = prose("Restraint", rows=2)
    removable_alone = forms.TypedChoiceField(
        label="Can be taken out without touching its neighbours",
        choices=[("", "not said yet"), ("yes", "yes"), ("no", "no")],
        coerce=lambda value: value == "yes",
        empty_value=None,
        required=False,
    )
    fixing_instruction = prose("How it is fixed, step by step")
    goes_back = forms.BooleanField(label="Goes back with the object", required=False)


@signed_in
def mount_measure(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Write the ticket."""
    row, subject = seen_mount(request, uid)
    role = request.role_for(Deed.PREPARE, subject)
    names = [n for n in MountMeasured.__dataclass_fields__ if n != "fixing_picture"]
    initial = {name: getattr(row, name) for name in names} | {
        "version": row.edition,
        "measured_by": row.measured_by.uid if row.measured_by else request.person.uid,
        "removable_alone": {True: "yes", False: "no", None: ""}[row.removable_alone],
    }
    form = MeasureForm(posted(request), initial=initial)
    fields: dict[str, Any] = form.fields
    fields["measured_by"].queryset = holders_of(None, request.at)

    def act(data: dict[str, Any]) -> str:
        edition = data.pop("version")
        measure_mount(
            by=request.person,
            role=role,
            at=request.at,
            mount=row,
            edition=edition,
            measured=MountMeasured(**data, fixing_picture=row.fixing_picture),
        )
        return f"The ticket {row.mount_no} is written."

    page = FormPage(
        title=f"Ticket of {row.mount_no}",
        submit="Keep the ticket",
        back=reverse("mount", args=[uid]),
        lead="Measured from the object, not from the catalogue.",
        draft=f"mount-{row.uid}",
        cautions=cautions_of(row.museum_object, CautionFor.INSTALL),
    )
    return answer_form(request, form, act, page)


class MaterialForm(forms.Form):
    material = forms.ModelChoiceField(
        Material.objects.none(), to_field_name="uid", label="Material and batch"
    )
    accepted_by = forms.ModelChoiceField(
        Person.objects.none(), to_field_name="uid", label="Accepted by", required=False
    )


@signed_in
def mount_material(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Put a material on the ticket."""
    row, subject = seen_mount(request, uid)
    role = request.role_for(Deed.PREPARE, subject)
    form = MaterialForm(posted(request))
    fields: dict[str, Any] = form.fields
    offer_materials(fields["material"], materials_offered(request.at))
    fields["accepted_by"].queryset = holders_of(Role.CONSERVATOR, request.at)

    def act(data: dict[str, Any]) -> str:
        add_mount_material(by=request.person, role=role, at=request.at, mount=row, **data)
        return f"{data['material']} stands on {row.mount_no}."

    page = FormPage(
        title=f"A material of {row.mount_no}",
        submit="Put it on the ticket",
        back=reverse("mount", args=[uid]),
        lead="Only what is on the accepted list or tested may be signed for.",
    )
    return answer_form(request, form, act, page)


@signed_in
def mount_aside(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Put a mount aside."""
    row, subject = seen_mount(request, uid)
    role = request.role_for(Deed.PREPARE, subject)
    form = WhyForm(posted(request))

    def act(data: dict[str, Any]) -> str:
        put_mount_aside(by=request.person, role=role, at=request.at, mount=row, **data)
        return f"{row.mount_no} is put aside."

    page = FormPage(
        title=f"Put {row.mount_no} aside",
        submit="Put it aside",
        back=reverse("mount", args=[uid]),
    )
    return answer_form(request, form, act, page)
