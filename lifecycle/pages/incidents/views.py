"""Start an incident from anywhere, complete it, close it."""

from typing import Any
from uuid import UUID

from django import forms
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from lifecycle.actions.incidents import (
    Completion,
    Happening,
    add_statement,
    close_incident,
    complete_incident,
    start_incident,
    tell,
)
from lifecycle.pages.display.hands import photo_field
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.fields import ObjectNumbersField, PlaceField
from lifecycle.pages.form_page import Done, FormPage, answer_form
from lifecycle.pages.moments import moment_field
from lifecycle.process.cautions import CautionFor, cautions_for
from lifecycle.process.rights import Deed, SubjectFacts
from lifecycle.process.words import Certainty, Hazard
from lifecycle.queries.incidents import incidents_list
from lifecycle.queries.places import place_paths
from lifecycle.queries.rights import about_object
from lifecycle.records.base import choices
from lifecycle.records.models import (
    ConditionReport,
    Incident,
    IncidentObject,
    MuseumObject,
    ObjectHazard,
    Person,
    Showing,
    Vocabulary,
    Word,
)
from lifecycle.records.models.incidents import IncidentSeverity, ToldWhom


class IncidentForm(forms.Form):
    """What was found; three fields are enough to begin."""

    objects = ObjectNumbersField(
        label="Objects", required=False, help_text="One object number a line."
    )
    place = PlaceField(label="Place", required=False)
    kind = forms.ModelChoiceField(Word.objects.none(), to_field_name="code", label="What happened")
    discovered_at = moment_field("Found at")
    circumstances = forms.CharField(
        label="What you saw",
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="As fully as you can; leave out who may be to blame.",
    )
    photo = photo_field("Photograph", help_text="Before anything is tidied, unless danger grows.")
    act_now = forms.BooleanField(label="Somebody has to act now", required=False)
    happened_from = moment_field("Happened, at the earliest", required=False)
    happened_to = moment_field("Happened, at the latest", required=False)
    certainty = forms.TypedChoiceField(
        label="How well that is known",
        choices=choices(Certainty),
        coerce=Certainty,
        initial=Certainty.NOT_KNOWN,
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["place"].fill(place_paths())
        fields["kind"].queryset = Word.objects.filter(
            vocabulary=Vocabulary.INCIDENT_KIND, retired_on=None
        ).order_by("label", "pk")


@require_GET
@signed_in
def incidents(request: SignedInRequest) -> HttpResponse:
    """Open incidents, the latest first."""
    closed = request.GET.get("closed") == "yes"
    context = {
        "rows": incidents_list(request.facts, request.at, closed=closed),
        "closed": closed,
        "may_start": request.may(Deed.REPORT_EVENT),
    }
    return render(request, "incidents/list.html", context)


def _asked_object(request: SignedInRequest) -> MuseumObject | None:
    """The object the page was opened for: by its own uid or by its showing's."""
    try:
        if uid := request.GET.get("showing"):
            row = Showing.objects.filter(uid=UUID(uid)).select_related("museum_object").first()
            return row.museum_object if row else None
        if uid := request.GET.get("object"):
            return MuseumObject.objects.filter(uid=UUID(uid)).first()
    except ValueError:
        return None
    return None


def _where_it_is(request: SignedInRequest, thing: MuseumObject | None, about: SubjectFacts) -> str:
    """Where the object stands, to begin from; not for who may not know its place in the store."""
    place = thing.current_location if thing is not None else None
    known = place is not None and request.may(Deed.SEE_STORE_BAY, about)
    return str(place.uid) if place is not None and known else ""


@signed_in
def incident_new(request: SignedInRequest) -> HttpResponse:
    """Start an incident; everybody who works here may."""
    thing = _asked_object(request)
    about = about_object(thing) if thing else SubjectFacts()
    role = request.role_for(Deed.REPORT_EVENT, about)
    form = IncidentForm(
        request.POST or None,
        request.FILES or None,
        initial={
            "objects": thing.object_number if thing else "",
            "discovered_at": request.at,
            "place": _where_it_is(request, thing, about),
        },
    )

    def act(data: dict[str, Any]) -> Done:
        photo = data.pop("photo")
        row = start_incident(
            by=request.person,
            role=role,
            at=request.at,
            said=Happening(
                photo=photo.read() if photo else None,
                photo_name=photo.name if photo else "",
                **data,
            ),
        )
        return Done(f"{row.incident_no} is on record.", reverse("incident", args=[row.uid]))

    page = FormPage(
        title="Report an incident",
        submit="Report it",
        back=reverse("incidents"),
        lead="Follow the emergency plan first; people before objects.",
        draft="incident-new",
        template="display/gallery_form.html",
    )
    return answer_form(request, form, act, page)


class CompleteForm(forms.Form):
    """What was done and found out since."""

    made_safe_what = forms.CharField(
        label="Made safe by", required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    made_safe_by = forms.ModelChoiceField(
        Person.objects.none(), to_field_name="uid", label="By whom", required=False
    )
    made_safe_at = moment_field("When", required=False)
    condition_report = forms.ModelChoiceField(
        ConditionReport.objects.none(),
        to_field_name="uid",
        label="Condition report",
        required=False,
    )
    severity = forms.TypedChoiceField(
        label="Severity",
        choices=[("", "not yet"), *choices(IncidentSeverity)],
        coerce=IncidentSeverity,
        empty_value=None,
        required=False,
    )
    cause = forms.CharField(label="Cause", required=False, widget=forms.Textarea(attrs={"rows": 2}))
    lesson = forms.CharField(
        label="Lesson", required=False, widget=forms.Textarea(attrs={"rows": 2})
    )


class ToldForm(forms.Form):
    whom = forms.TypedChoiceField(label="Whom", choices=choices(ToldWhom), coerce=ToldWhom)
    name = forms.CharField(label="Name", max_length=200)
    how = forms.CharField(label="How", max_length=120)
    told_at = moment_field("When")


class StatementForm(forms.Form):
    person = forms.ModelChoiceField(Person.objects.none(), to_field_name="uid", label="Who said it")
    text = forms.CharField(label="In their words", widget=forms.Textarea(attrs={"rows": 3}))


def _seen(request: SignedInRequest, uid: UUID) -> tuple[Incident, list[IncidentObject]]:
    row = get_object_or_404(
        Incident.objects.select_related(
            "kind", "place", "reporter", "made_safe_by", "condition_report", "picture", "closed_by"
        ),
        uid=uid,
    )
    lines = list(
        row.lines.select_related("museum_object__lender", "face", "showing").order_by(
            "museum_object__object_number", "pk"
        )
    )
    if row.reporter_id != request.person.pk:
        for line in lines:
            request.role_for(Deed.SEE_SHOWING, about_object(line.museum_object))
    return row, lines


def _cautions(lines: list[IncidentObject]) -> list[str]:
    hazards = ObjectHazard.objects.filter(
        museum_object__in=[line.museum_object_id for line in lines], ended_on=None
    ).values_list("hazard", flat=True)
    found = cautions_for((Hazard(value) for value in hazards), CautionFor.MOVE)
    return [f"{one.about}: {one.text}" for one in found]


@require_GET
@signed_in
def incident(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """One incident: what happened, what was done, who was told."""
    row, lines = _seen(request, uid)
    context = {
        "incident": row,
        "lines": lines,
        "statements": list(row.statements.select_related("person").order_by("entered_at", "pk")),
        "told": list(row.told.order_by("told_at", "pk")),
        "cautions": _cautions(lines),
        "may_complete": request.may(Deed.EXAMINE) and row.closed_at is None,
        "may_add": row.closed_at is None,
    }
    return render(request, "incidents/one.html", context)


def _page(row: Incident, title: str, submit: str, lines: list[IncidentObject]) -> FormPage:
    return FormPage(
        title=title,
        submit=submit,
        back=reverse("incident", args=[row.uid]),
        cautions=_cautions(lines),
        draft=f"incident-{row.uid}",
    )


@signed_in
def incident_complete(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Write what was done and found out."""
    row, lines = _seen(request, uid)
    role = request.role_for(Deed.EXAMINE)
    initial = {name: getattr(row, name) for name in Completion.__dataclass_fields__}
    initial["made_safe_by"] = row.made_safe_by.uid if row.made_safe_by else None
    initial["condition_report"] = row.condition_report.uid if row.condition_report else None
    form = CompleteForm(request.POST or None, initial=initial)
    fields: dict[str, Any] = form.fields
    fields["made_safe_by"].queryset = Person.objects.order_by("full_name", "pk")
    fields["condition_report"].queryset = ConditionReport.objects.filter(
        museum_object__in=[line.museum_object_id for line in lines], struck_at=None
    ).order_by("-pk")

    def act(data: dict[str, Any]) -> str:
        complete_incident(
            by=request.person, role=role, at=request.at, incident=row, said=Completion(**data)
        )
        return f"{row.incident_no} is completed."

    page = _page(row, f"Complete {row.incident_no}", "Keep this", lines)
    return answer_form(request, form, act, page)


@signed_in
def incident_tell(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Record who was told."""
    row, lines = _seen(request, uid)
    role = request.role_for(Deed.REPORT_EVENT, _about(lines))
    form = ToldForm(request.POST or None, initial={"told_at": request.at})

    def act(data: dict[str, Any]) -> str:
        tell(by=request.person, role=role, at=request.at, incident=row, **data)
        return f"{data['name']} is on record as told."

    page = _page(row, f"Who was told of {row.incident_no}", "Keep this", lines)
    return answer_form(request, form, act, page)


def _about(lines: list[IncidentObject]) -> SubjectFacts:
    return about_object(lines[0].museum_object) if lines else SubjectFacts()


@signed_in
def incident_statement(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Keep what one person said, in their words."""
    row, lines = _seen(request, uid)
    role = request.role_for(Deed.REPORT_EVENT, _about(lines))
    form = StatementForm(request.POST or None, initial={"person": request.person.uid})
    fields: dict[str, Any] = form.fields
    fields["person"].queryset = Person.objects.order_by("full_name", "pk")

    def act(data: dict[str, Any]) -> str:
        add_statement(by=request.person, role=role, at=request.at, incident=row, **data)
        return "The statement is kept."

    page = _page(row, f"A statement on {row.incident_no}", "Keep the statement", lines)
    return answer_form(request, form, act, page)


@signed_in
def incident_close(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Close an incident; its hold is lifted by its own decision."""
    row, lines = _seen(request, uid)
    role = request.role_for(Deed.EXAMINE)
    form = forms.Form(request.POST if request.method == "POST" else None)

    def act(_: dict[str, Any]) -> str:
        close_incident(by=request.person, role=role, at=request.at, incident=row)
        return f"{row.incident_no} is closed. Its hold is lifted by its own written decision."

    page = _page(row, f"Close {row.incident_no}", "Close with my name", lines)
    return answer_form(request, form, act, page)
