"""Housing: what needs one, specify, order, make, try with the object, label, put aside."""

from typing import Any
from uuid import UUID

from django import forms
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from lifecycle.actions.papers_out.allowed import TO_PRINT
from lifecycle.actions.preparation.housing import (
    HousingWanted,
    board_caution,
    change_housing,
    housing_ordered_or_made,
    put_housing_aside,
    specify_housing,
)
from lifecycle.pages.display.seeing import called, cautions_of, seen_showing, showing_address
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.fields import day_field
from lifecycle.pages.form_page import Done, FormPage, answer_form, may_one_of, role_for_one_of
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
)
from lifecycle.pages.treatment.forms import prose
from lifecycle.pages.treatment.seeing import posted, words_of
from lifecycle.process.cautions import CautionFor
from lifecycle.process.rights import Deed, SubjectFacts
from lifecycle.process.words import Orientation
from lifecycle.queries.preparation.housing import housing_refusals, labels_of, units_of
from lifecycle.queries.preparation.people import holders_of
from lifecycle.queries.rights import about_showing
from lifecycle.queries.treatment.reading import housing_advice
from lifecycle.records.base import choices
from lifecycle.records.models.objects import Component, MuseumObject
from lifecycle.records.models.papers_out import PaperKind
from lifecycle.records.models.people import Person
from lifecycle.records.models.preparation import Board, Housing
from lifecycle.records.models.words import Vocabulary, Word

HANDS = (Deed.PREPARE, Deed.HANDLE)
TO_LABEL = TO_PRINT[PaperKind.HOUSING_LABEL]
PICTURES = ("contents_picture", "old_housing_picture", "old_notes_picture")


@require_GET
@signed_in
def housing_of(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """What of the object needs housing, and what there is."""
    showing = seen_showing(request, uid)
    thing = showing.museum_object
    units = units_of([thing.pk])[thing.pk]
    context = {
        "showing": showing,
        "called": called(showing),
        "advice": housing_advice(thing),
        "units": units,
        "all_specified": all(unit.housing is not None for unit in units),
        "refusals": housing_refusals([thing.pk], request.at),
        "may_specify": request.may(Deed.PREPARE, about_showing(showing)),
        "may_label": may_one_of(request, TO_LABEL, about_showing(showing)),
        "back": showing_address(showing, "preparation"),
        "cautions": cautions_of(thing, CautionFor.MOVE),
    }
    return render(request, "preparation/housing_of.html", context)


def _size(label: str) -> forms.DecimalField:
    return forms.DecimalField(
        label=label, min_value=0, max_digits=7, decimal_places=1, required=False
    )


class WantedForm(forms.Form):
    """What is specified."""

    kind = forms.ModelChoiceField(Word.objects.none(), to_field_name="uid", label="Kind")
    board = forms.TypedChoiceField(label="Board", choices=choices(Board), coerce=Board)
    board_reason = prose("Why this board in spite of the caution", rows=2)
    air_access = forms.BooleanField(label="Air can reach it", required=False)
    fit_for_travel = forms.BooleanField(label="It can travel in it", required=False)
    inner_height_mm = _size("Inner height, mm")
    inner_width_mm = _size("Inner width, mm")
    inner_depth_mm = _size("Inner depth, mm")
    orientation = forms.TypedChoiceField(
        label="Orientation", choices=choices(Orientation), coerce=Orientation
    )
    lift_aid = forms.CharField(label="Lift aid", max_length=160, required=False)
    closure = forms.CharField(label="Closure", max_length=160, required=False)
    with_whom = forms.ModelChoiceField(
        Person.objects.none(), to_field_name="uid", label="Who makes it", required=False
    )

    def offer(self, request: SignedInRequest) -> None:
        fields: dict[str, Any] = self.fields
        fields["kind"].queryset = words_of(Vocabulary.HOUSING_KIND)
        fields["with_whom"].queryset = holders_of(None, request.at)

    def offer_sizes(self, thing: MuseumObject) -> None:
        """Say beside the first size what the object measures, in each of its states."""
        rows = thing.measures.order_by("state", "pk")
        fields: dict[str, Any] = self.fields
        fields["inner_height_mm"].help_text = "; ".join(
            f"The object, {row.get_state_display()}: "
            + " × ".join(
                f"{side.normalize():f}"
                for side in (row.height_mm, row.width_mm, row.depth_mm)
                if side is not None
            )
            + " mm"
            for row in rows
        )

    def wanted(self, data: dict[str, Any]) -> HousingWanted:
        return HousingWanted(**{name: data[name] for name in HousingWanted.__dataclass_fields__})


class SpecifyForm(WantedForm):
    component = forms.ModelChoiceField(
        Component.objects.none(),
        to_field_name="uid",
        label="For",
        required=False,
        empty_label="the whole object",
    )
    field_order = ("component",)

    def offer_parts(self, thing: MuseumObject) -> None:
        fields: dict[str, Any] = self.fields
        fields["component"].queryset = Component.objects.filter(museum_object=thing).order_by(
            "label", "pk"
        )


def _board_cautions(thing: MuseumObject) -> list[str]:
    said = board_caution(thing, Board.ALKALINE_RESERVE)
    return [said] if said else []


@signed_in
def housing_specify(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Specify the housing of the object of a showing."""
    showing = seen_showing(request, uid)
    thing = showing.museum_object
    role = request.role_for(Deed.PREPARE, about_showing(showing))
    form = SpecifyForm(
        posted(request),
        initial={
            "component": request.GET.get("for", ""),
            "orientation": thing.orientation_rule,
            "board": _likely_board(thing),
        },
    )
    form.offer(request)
    form.offer_parts(thing)
    form.offer_sizes(thing)

    def act(data: dict[str, Any]) -> Done:
        made = specify_housing(
            by=request.person,
            role=role,
            at=request.at,
            museum_object=thing,
            showing=showing,
            component=data["component"],
            wanted=form.wanted(data),
        )
        return Done(f"{made.housing_no} is specified.", reverse("housing", args=[made.uid]))

    page = FormPage(
        title=f"Specify the housing of {called(showing)}",
        submit="Specify it",
        back=reverse("housing-of", args=[uid]),
        lead="Full support, no overfill; never a facsimile in with the original.",
        cautions=cautions_of(thing, CautionFor.MOVE).after(_board_cautions(thing)),
    )
    return answer_form(request, form, act, page)


def _likely_board(thing: MuseumObject) -> Board:
    """Unbuffered where the first board of the list would ask for a reason."""
    usual = Board.ALKALINE_RESERVE
    return Board.UNBUFFERED if board_caution(thing, usual) else usual


def seen_housing(request: SignedInRequest, uid: UUID) -> tuple[Housing, SubjectFacts]:
    row = get_object_or_404(
        Housing.objects.select_related(
            "museum_object",
            "component",
            "showing__exhibition",
            "kind",
            "with_whom",
            "specified_by",
            "fits_by",
            *PICTURES,
        ),
        uid=uid,
    )
    subject = about(row.showing, row.museum_object)
    request.role_for(Deed.SEE_SHOWING, subject)
    return row, subject


def _state(row: Housing) -> tuple[str, str]:
    if row.retired_at is not None:
        return "square", "out of use"
    if row.fits is not None:
        return ("done", "fits") if row.fits else ("stopped", "does not fit")
    if row.made_on is not None:
        return "with_someone", "made, to be tried"
    return ("with_someone", "ordered") if row.ordered_on else ("to_do", "specified")


def _label_said(row: Housing) -> str:
    if row.label_says:
        return f"by hand: {row.label_says}"
    return "printed" if labels_of([row]).get(row.pk) else ""


@require_GET
@signed_in
def housing(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """One housing."""
    row, subject = seen_housing(request, uid)
    ways = []
    if row.retired_at is None:
        if may_one_of(request, HANDS, subject):
            ways += [
                Way(href=reverse("housing-made", args=[uid]), label="Ordered or made"),
                Way(
                    href=reverse("housing-try", args=[uid]),
                    label="Tried with the object",
                    main=row.made_on is not None,
                ),
            ]
        if may_one_of(request, TO_LABEL, subject):
            ways += [
                Way(
                    href=reverse("print-new", args=[PaperKind.HOUSING_LABEL.value, uid]),
                    label="Print its label",
                ),
                Way(href=reverse("housing-label", args=[uid]), label="Label written by hand"),
            ]
        if request.may(Deed.PREPARE, subject):
            ways += [
                Way(href=reverse("housing-change", args=[uid]), label="Change the specification"),
                Way(href=reverse("housing-aside", args=[uid]), label="Put it out of use"),
            ]
    state, word = _state(row)
    sizes = (row.inner_height_mm, row.inner_width_mm, row.inner_depth_mm)
    said = [str(size) for size in sizes if size is not None]
    page = RecordPage(
        title=f"Housing {row.housing_no}",
        museum_object=row.museum_object,
        back=back_to(row.showing, row.museum_object),
        record=row,
        mark=state,
        word=word,
        ways=ways,
        notices=[row.fits_note] if row.fits is False else [],
        pictures=[picture for name in PICTURES if (picture := getattr(row, name)) is not None],
        facts=[
            text("For", row.component or "the whole object"),
            text("Kind", row.kind.label),
            text("Board", row.get_board_display()),
            *([text("Why this board", row.board_reason)] if row.board_reason else []),
            text("Air can reach it", "yes" if row.air_access else "no"),
            text("Can travel in it", "yes" if row.fit_for_travel else "no"),
            text("Inner size, mm", " × ".join(said)),
            text("Orientation", row.get_orientation_display()),
            text("Lift aid", row.lift_aid),
            text("Closure", row.closure),
            text("Short code", row.code),
            text("Who makes it", row.with_whom or ""),
            Fact(label="Specified", text=row.specified_by.full_name, day=row.specified_on),
            Fact(label="Ordered", day=row.ordered_on),
            text("Made by", row.made_by),
            Fact(label="Made", day=row.made_on),
            who("Tried by", row.fits_by, row.fits_at),
            Fact(label="Label", text=_label_said(row), moment=labels_of([row]).get(row.pk)),
            text("Old housing", row.get_old_housing_display()),
            text("Notes on the old housing", f"{row.get_old_notes_display()} {row.old_notes_kept}"),
        ],
    )
    return show_record(request, page)


class ChangeForm(WantedForm):
    version = forms.IntegerField(widget=forms.HiddenInput)


@signed_in
def housing_change(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Change the specification; what was tried has to be tried again."""
    row, subject = seen_housing(request, uid)
    role = request.role_for(Deed.PREPARE, subject)
    initial = {name: getattr(row, name) for name in HousingWanted.__dataclass_fields__} | {
        "kind": row.kind.uid,
        "with_whom": row.with_whom.uid if row.with_whom else None,
        "version": row.edition,
    }
    form = ChangeForm(posted(request), initial=initial)
    form.offer(request)
    form.offer_sizes(row.museum_object)

    def act(data: dict[str, Any]) -> str:
        change_housing(
            by=request.person,
            role=role,
            at=request.at,
            housing=row,
            edition=data["version"],
            wanted=form.wanted(data),
        )
        return f"{row.housing_no} is changed; try it with the object again."

    page = FormPage(
        title=f"Change {row.housing_no}",
        submit="Keep the change",
        back=reverse("housing", args=[uid]),
        lead="It has to be tried with the object again, and its label printed again.",
        cautions=cautions_of(row.museum_object, CautionFor.MOVE).after(
            _board_cautions(row.museum_object)
        ),
    )
    return answer_form(request, form, act, page)


class MadeForm(forms.Form):
    ordered_on = day_field("Ordered on", required=False)
    made_on = day_field("Made on", required=False)
    made_by = forms.CharField(label="Made by", max_length=120, required=False)


@signed_in
def housing_made(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Say that it was ordered or made."""
    row, subject = seen_housing(request, uid)
    role = role_for_one_of(request, HANDS, subject)
    form = MadeForm(posted(request))

    def act(data: dict[str, Any]) -> str:
        housing_ordered_or_made(by=request.person, role=role, at=request.at, housing=row, **data)
        return f"{row.housing_no}: kept."

    page = FormPage(
        title=f"{row.housing_no}, ordered or made",
        submit="Keep it",
        back=reverse("housing", args=[uid]),
        cautions=cautions_of(row.museum_object, CautionFor.MOVE),
    )
    return answer_form(request, form, act, page)


@signed_in
def housing_aside(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Put a housing out of use."""
    row, subject = seen_housing(request, uid)
    role = request.role_for(Deed.PREPARE, subject)
    form = WhyForm(posted(request))

    def act(data: dict[str, Any]) -> str:
        put_housing_aside(by=request.person, role=role, at=request.at, housing=row, **data)
        return f"{row.housing_no} is out of use."

    page = FormPage(
        title=f"Put {row.housing_no} out of use",
        submit="Put it out of use",
        back=reverse("housing", args=[uid]),
    )
    return answer_form(request, form, act, page)
