"""Forms of a whole report: start, circumstances, sections, conclusions."""

from datetime import date
from typing import Any

from django import forms
from django.utils.timezone import localtime

from lifecycle.actions.condition.head import Circumstances, Conclusions
from lifecycle.actions.condition.start import Occasion
from lifecycle.pages.condition.choosing import (
    closed,
    examiners_in_post,
    fill_words,
    people_in_post,
    place_field,
    version_field,
    word_field,
)
from lifecycle.pages.fields import day_field, many_boxes
from lifecycle.pages.moments import moment_field
from lifecycle.process.days import day_words
from lifecycle.process.words import (
    Certainty,
    CompareResult,
    Fit,
    Grade,
    ReportKind,
    SeenAs,
    Stability,
)
from lifecycle.queries.condition.known import signed_reports
from lifecycle.records.models import Face, MuseumObject, Person, Vocabulary
from lifecycle.records.models.condition import ConditionReport
from lifecycle.records.models.condition.words import TreatmentNeed


class OccasionForm(forms.Form):
    """When, where, how and by whom the object was looked at."""

    examined_at = moment_field(
        "Examined at", required=False, help_text="When it was looked at, not when it is typed."
    )
    certainty = forms.ChoiceField(
        label="How well the time is known", choices=[(c.value, c.label) for c in Certainty]
    )
    examined_until = moment_field("Until, for a span", required=False)
    examiners = forms.ModelMultipleChoiceField(
        Person.objects.none(),
        to_field_name="uid",
        label="Examined by",
        widget=many_boxes(),
    )
    present = forms.CharField(
        label="Also present",
        required=False,
        max_length=300,
        help_text="Owner, lender or courier, by full name.",
    )
    where = place_field("Where")
    light_there = word_field("Light in the room", required=False)
    light_there_note = forms.CharField(label="Note on that light", required=False, max_length=120)
    seen_as = forms.ChoiceField(
        label="Seen as", required=False, choices=closed(SeenAs), help_text="How it lay before you."
    )
    reason = word_field("Reason")
    requested_by = forms.ModelChoiceField(
        Person.objects.none(),
        to_field_name="uid",
        label="Asked for by",
        required=False,
        empty_label="not stated",
    )

    def fill(self, on: date) -> None:
        """Offer the people, places and words of a day."""
        fields: dict[str, Any] = self.fields
        fields["where"].fill()
        fields["examiners"].queryset = examiners_in_post(on)
        fields["requested_by"].queryset = people_in_post(on)
        fill_words(fields["reason"], Vocabulary.REPORT_REASON, on)
        fill_words(fields["light_there"], Vocabulary.GALLERY_LIGHT, on)

    def occasion(self) -> Occasion:
        """What was typed, for the actions."""
        data = self.cleaned_data
        return Occasion(
            examined_at=data["examined_at"],
            examined_until=data["examined_until"],
            certainty=Certainty(data["certainty"]),
            examiners=list(data["examiners"]),
            present=data["present"],
            where=data["where"],
            light_there=data["light_there"],
            light_there_note=data["light_there_note"],
            seen_as=data["seen_as"],
            requested_by=data["requested_by"],
        )


class StartForm(OccasionForm):
    """Start a report of a kind about some faces of one object."""

    kind = forms.ChoiceField(
        label="Kind of report", choices=[(k.value, k.label.capitalize()) for k in ReportKind]
    )
    faces = forms.ModelMultipleChoiceField(
        Face.objects.none(),
        to_field_name="uid",
        label="Faces",
        widget=forms.CheckboxSelectMultiple,
        required=False,
        help_text="Every feature known on them will be listed as ‘not looked at’.",
    )
    none_known = forms.CharField(
        label="No earlier report is known, because",
        required=False,
        max_length=300,
        help_text="There is no signed report here to compare with: say what was looked through.",
    )
    field_order = ("kind", "faces", "reason", "none_known")

    def offer_faces(self, museum_object: MuseumObject) -> None:
        fields: dict[str, Any] = self.fields
        fields["faces"].queryset = museum_object.faces.order_by("order", "pk")
        fields["faces"].label_from_instance = lambda face: f"{face.label}: {face.landmark}"
        if signed_reports(museum_object).exists():
            del fields["none_known"]

    def outside_a_showing(self) -> None:
        """Part A and part B belong to a showing; they are not offered without one."""
        fields: dict[str, Any] = self.fields
        parts = {ReportKind.DEINSTALL_AT_CASE.value, ReportKind.DEINSTALL_AT_BENCH.value}
        fields["kind"].choices = [one for one in fields["kind"].choices if one[0] not in parts]


class CircumstancesForm(OccasionForm):
    """The head of a report, as its first section."""

    components_complete = forms.NullBooleanField(
        label="Components complete",
        required=False,
        widget=forms.Select(choices=[("", "not counted"), ("True", "yes"), ("False", "no")]),
    )
    components_note = forms.CharField(label="What is missing", required=False, max_length=300)
    compared_with = forms.ModelChoiceField(
        ConditionReport.objects.none(),
        to_field_name="uid",
        label="Compared with",
        required=False,
        empty_label="none",
    )
    none_known = forms.CharField(
        label="No earlier report is known, because", required=False, max_length=300
    )
    version = version_field()
    field_order = ("reason",)

    def offer_reports(self, report: ConditionReport) -> None:
        fields: dict[str, Any] = self.fields
        fields["compared_with"].queryset = signed_reports(report.museum_object).exclude(
            pk=report.pk
        )
        fields["compared_with"].label_from_instance = lambda earlier: (
            f"{earlier}, {earlier.get_kind_display()}"
            + (f", {day_words(localtime(earlier.examined_at))}" if earlier.examined_at else "")
        )

    def circumstances(self) -> Circumstances:
        data = self.cleaned_data
        return Circumstances(
            occasion=self.occasion(),
            reason=data["reason"],
            components_complete=data["components_complete"],
            components_note=data["components_note"],
            compared_with=data["compared_with"],
            none_known=data["none_known"],
        )


def head_of(report: ConditionReport) -> dict[str, Any]:
    """Initial values of the circumstances of a report."""
    return {
        "examined_at": report.examined_at,
        "certainty": report.examined_certainty,
        "examined_until": report.examined_until,
        "examiners": [person.uid for person in report.examiners.all()],
        "present": report.present,
        "where": str(report.where.uid) if report.where else "",
        "light_there": report.light_there.uid if report.light_there else None,
        "light_there_note": report.light_there_note,
        "seen_as": report.seen_as,
        "reason": report.reason.uid,
        "requested_by": report.requested_by.uid if report.requested_by else None,
        "components_complete": report.components_complete,
        "components_note": report.components_note,
        "compared_with": report.compared_with.uid if report.compared_with else None,
        "none_known": report.none_known,
        "version": report.circumstances_revision,
    }


class SectionForm(forms.Form):
    """What is there, and what it means: two blocks, kept apart."""

    observed = forms.CharField(
        label="What is there",
        required=False,
        widget=forms.Textarea(attrs={"rows": 8}),
        help_text="What is seen, in plain words.",
    )
    interpretation = forms.CharField(
        label="What it means",
        required=False,
        widget=forms.Textarea(attrs={"rows": 5}),
        help_text="Cause, age, risk: what is concluded from it.",
    )
    version = version_field()


class ConclusionsForm(forms.Form):
    """Grade, stability, result, fitness."""

    result = forms.ChoiceField(
        label="Against the earlier report", required=False, choices=closed(CompareResult)
    )
    grade = forms.ChoiceField(
        label="Overall grade",
        required=False,
        choices=[("", "not stated"), *((grade.value, grade.with_meaning) for grade in Grade)],
    )
    stability = forms.ChoiceField(label="Stability", required=False, choices=closed(Stability))
    fit_display = forms.ChoiceField(label="Fit for display", required=False, choices=closed(Fit))
    fit_travel = forms.ChoiceField(label="Fit for travel", required=False, choices=closed(Fit))
    fit_handling = forms.ChoiceField(label="Fit for handling", required=False, choices=closed(Fit))
    fit_limits = forms.CharField(
        label="Limits", required=False, widget=forms.Textarea(attrs={"rows": 3})
    )
    treatment_needed = forms.ChoiceField(
        label="Treatment needed",
        required=False,
        choices=[("", "not stated"), *((c.value, str(c.label)) for c in TreatmentNeed)],
    )
    next_check_due = day_field("Next check due", required=False)
    everything_seen = forms.BooleanField(label="Everything could be seen", required=False)
    nothing_to_note = forms.BooleanField(
        label="Nothing to note on the faces examined", required=False
    )
    version = version_field()

    def conclusions(self) -> Conclusions:
        data = self.cleaned_data
        return Conclusions(**{name: data[name] for name in Conclusions.__dataclass_fields__})


def conclusions_of(report: ConditionReport) -> dict[str, Any]:
    """Initial values of the conclusions of a report."""
    names = Conclusions.__dataclass_fields__
    values = {name: getattr(report, name) for name in names}
    return {**values, "version": report.conclusions_revision}
