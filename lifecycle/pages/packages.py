"""Open packages: ask for one, see how far it has come, stop it, fetch it."""

from datetime import datetime
from typing import Any, cast
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from lifecycle.actions.package.asking import Subject, ask_for_package
from lifecycle.actions.package.keeping import KEPT_FOR, kept_file
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.actions.work import rows
from lifecycle.actions.work.rows import OPEN
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.fields import ObjectNumberField
from lifecycle.pages.form_page import Done, FormPage, answer_form
from lifecycle.process.rights import Deed
from lifecycle.queries.package.left_out import seen_by
from lifecycle.queries.package.made import package_of, packages
from lifecycle.records.models import Showing, Work, WorkState

WHAT = (
    ("object", "One object, with all its showings"),
    ("showing", "One showing that is over"),
    ("museum", "The whole museum"),
)


class PackageForm(forms.Form):
    """What is to be saved."""

    what = forms.ChoiceField(
        label="What to save", choices=WHAT, initial="object", widget=forms.RadioSelect
    )
    object_number = ObjectNumberField(
        label="Object number",
        required=False,
        help_text="For one object: its number as marked, or its short code.",
    )
    request_no = forms.CharField(
        label="Number of the showing",
        required=False,
        max_length=16,
        help_text="For one showing: the number of its request, such as RQ-0012.",
    )

    def clean_request_no(self) -> Showing | None:
        text = str(self.cleaned_data["request_no"]).strip()
        if not text:
            return None
        found = Showing.objects.filter(request_no__iexact=text)
        showing = found.select_related("museum_object", "exhibition").first()
        if showing is None:
            raise forms.ValidationError(f"No showing has the number “{text}”.")
        return showing

    def clean(self) -> dict[str, Any]:
        data = self.cleaned_data
        what = data.get("what")
        if what == "object" and data.get("object_number", "") is None:
            self.add_error("object_number", "Say which object.")
        if what == "showing" and data.get("request_no", "") is None:
            self.add_error("request_no", "Say which showing.")
        return data

    def subject(self) -> Subject:
        """What was chosen; None for the whole museum."""
        data = self.cleaned_data
        fields = {"object": "object_number", "showing": "request_no"}
        field = fields.get(data["what"])
        found: Subject = data[field] if field else None
        return found


@signed_in
def package_list(request: SignedInRequest) -> HttpResponse:
    """Every package asked for, and the form that asks for one."""
    if not request.may(Deed.STEWARD):
        raise NotAllowed("Saving records as an open package is for the records steward.")
    form = PackageForm(request.POST or None)

    def act(_: dict[str, Any]) -> Done:
        work = ask_for_package(
            by=request.person,
            role=request.role_for(Deed.STEWARD),
            at=request.at,
            subject=form.subject(),
        )
        return Done("The package has been asked for.", reverse("package", args=[work.uid]))

    page = FormPage(
        title="Open packages",
        submit="Save as an open package",
        back=reverse("steward"),
        template="packages/list.html",
        more={"works": packages(), "days": KEPT_FOR.days},
    )
    return answer_form(request, form, act, page)


@require_safe
@signed_in
def package(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """One package: how far it has come, or what is in it."""
    work = _seen(request, uid)
    context = {
        "work": work,
        "under_way": work.state in OPEN,
        "may_fetch": _may_fetch(request, work),
        "there": kept_file(work) is not None,
        "cleared": _cleared(work),
        "until": work.ended_at + KEPT_FOR if work.ended_at else None,
    }
    template = "packages/progress.html" if request.htmx else "packages/one.html"
    return render(request, template, context)


@require_safe
@signed_in
def package_file(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """The package itself, streamed from the disk."""
    work = _seen(request, uid)
    if not _may_fetch(request, work):
        raise NotAllowed(
            "This package holds what you may not read on screen, such as how lenders are reached. "
            "Ask for one of your own."
        )
    path = kept_file(work) if work.state == WorkState.DONE else None
    if path is None:
        raise Http404("This package is not there, or is no longer kept.")
    answer = FileResponse(path.open("rb"), as_attachment=True, filename=path.name)
    answer["Content-Type"] = "application/zip"
    answer["Cache-Control"] = "private, no-store"
    # Streamed answers have no content to be read at once; the door only passes them on.
    return cast(HttpResponse, answer)


@require_POST
@signed_in
def package_stop(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Ask for a package to be stopped."""
    work = _seen(request, uid)
    try:
        role = request.role_for(Deed.STEWARD)
        rows.stop(uid=str(work.uid), by=request.person, role=role, at=request.at)
        messages.success(request, "The package stops after its present part.")
    except Refused as refused:
        for reason in refused.reasons:
            messages.error(request, reason.text)
    return redirect("package", uid=uid)


def _seen(request: SignedInRequest, uid: UUID) -> Work:
    if not request.may(Deed.STEWARD):
        raise NotAllowed("Open packages are for the records steward.")
    work = package_of(uid)
    if work is None:
        raise Http404("There is no such package.")
    return work


def _may_fetch(request: SignedInRequest, work: Work) -> bool:
    """Whoever fetches a package must be allowed to read what its asker was allowed to read."""
    return frozenset(work.inputs.get("seen", ())) <= seen_by(request.facts)


def _cleared(work: Work) -> datetime | None:
    said = work.results.get("cleared")
    return datetime.fromisoformat(said) if said else None
