"""Facsimiles: ask, read, and each step of the chain with its evidence."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from django import forms
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_GET

from lifecycle.actions.preparation import facsimiles as deeds
from lifecycle.pages.display.seeing import called, cautions_of, seen_showing, showing_address
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.faces_asked import face_asked
from lifecycle.pages.fields import PlaceField, day_field
from lifecycle.pages.form_page import Done, FormPage, answer_form, may_one_of, role_for_one_of
from lifecycle.pages.moments import moment_field
from lifecycle.pages.preparation.record import (
    Fact,
    RecordPage,
    Way,
    about,
    back_to,
    show_record,
    text,
    who,
    worked_back_help,
)
from lifecycle.pages.treatment.seeing import posted
from lifecycle.process.cautions import CautionFor
from lifecycle.process.rights import Deed, SubjectFacts
from lifecycle.process.stages import Role
from lifecycle.queries.preparation.people import holders_of
from lifecycle.queries.preparation.treated_since import treated_since
from lifecycle.queries.rights import about_showing
from lifecycle.queries.worked_back import facsimile_needed, schedule_of
from lifecycle.records.base import choices
from lifecycle.records.models.objects import Face
from lifecycle.records.models.papers_out import PaperKind
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Picture
from lifecycle.records.models.preparation import (
    AfterShow,
    Facsimile,
    FacsimileState,
    FacsimileUse,
    ImagingPurpose,
)
from lifecycle.records.models.showings import Showing

State = FacsimileState
ASKING = (Deed.CHOOSE, Deed.PREPARE)


class AskForm(forms.Form):
    """What is asked for."""

    face = forms.ModelChoiceField(Face.objects.none(), to_field_name="uid", label="Of face")
    use = forms.TypedChoiceField(label="Use", choices=choices(FacsimileUse), coerce=FacsimileUse)
    public_label = forms.CharField(
        label="Public label", max_length=240, help_text="Says that it is a facsimile, and why."
    )
    mark_on_back = forms.CharField(
        label="Permanent mark on the back",
        max_length=160,
        help_text="Facsimile made in which year, not the original.",
    )
    scale_percent = forms.DecimalField(
        label="Scale, %", min_value=1, max_value=1000, max_digits=6, decimal_places=2, initial=100
    )
    needed_by = day_field("Needed by", required=False)
    with_whom = forms.ModelChoiceField(
        Person.objects.none(), to_field_name="uid", label="Who makes it", required=False
    )
    print_method = forms.CharField(label="Print method", max_length=120, required=False)
    paper = forms.CharField(label="Paper", max_length=120, required=False)
    trim = forms.CharField(label="Trim", max_length=120, required=False)
    aged_look = forms.BooleanField(label="Aged look", required=False)
    after_show = forms.TypedChoiceField(
        label="After the show", choices=choices(AfterShow), coerce=AfterShow
    )

    def offer(self, showing: Showing, request: SignedInRequest) -> None:
        fields: dict[str, Any] = self.fields
        fields["face"].queryset = Face.objects.filter(museum_object=showing.museum_object).order_by(
            "order", "pk"
        )
        asked = face_asked(request, fields["face"].queryset)
        fields["face"].initial = asked.uid if asked is not None else None
        fields["with_whom"].queryset = holders_of(Role.PHOTOGRAPHER, request.at)
        plan = schedule_of(showing, request.at)
        fields["needed_by"].help_text = worked_back_help(
            (one.label, plan.facsimile(one.face_id)) for one in plan.periods
        )


@signed_in
def facsimile_ask(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Ask for the facsimile of one face."""
    showing = seen_showing(request, uid)
    role = role_for_one_of(request, ASKING, about_showing(showing))
    year = request.at.year
    form = AskForm(
        posted(request),
        initial={"mark_on_back": f"Facsimile made {year}, not the original"},
    )
    form.offer(showing, request)

    def act(data: dict[str, Any]) -> Done:
        made = deeds.ask_for_facsimile(
            by=request.person,
            role=role,
            at=request.at,
            showing=showing,
            asked=deeds.FacsimileAsked(**data),
        )
        return Done(f"{made.facsimile_no} is asked for.", reverse("facsimile", args=[made.uid]))

    page = FormPage(
        title=f"Ask for a facsimile of {called(showing)}",
        submit="Ask for the facsimile",
        back=showing_address(showing, "preparation"),
        lead="It shows the state a visitor sees next to it, and never lies in its housing.",
    )
    return answer_form(request, form, act, page)


def _seen(request: SignedInRequest, uid: UUID) -> tuple[Facsimile, SubjectFacts]:
    row = get_object_or_404(
        Facsimile.objects.select_related(
            "of_face__museum_object",
            "showing__exhibition",
            "showing__place",
            "with_whom",
            "master",
            "asked_by",
            "proof_seen_by",
            "approved_by",
            "delivered_by",
            "placed_where",
        ),
        uid=uid,
    )
    subject = about(row.showing, row.of_face.museum_object)
    request.role_for(Deed.SEE_SHOWING, subject)
    return row, subject


class MasterForm(forms.Form):
    picture = forms.ModelChoiceField(
        Picture.objects.none(), to_field_name="uid", label="Accepted master image"
    )

    def offer(self, row: Facsimile) -> None:
        fields: dict[str, Any] = self.fields
        fields["picture"].queryset = Picture.objects.filter(
            face=row.of_face, purpose=ImagingPurpose.FACSIMILE_MASTER.value
        ).order_by("-taken_at", "-pk")


class ProofForm(forms.Form):
    light = forms.CharField(
        label="Seen in which light",
        max_length=120,
        help_text="The gallery’s light at the case, not the office’s.",
    )
    seen_at = moment_field("Seen at", required=False)


class NothingForm(forms.Form):
    """Only a name and a moment are kept."""


class DeliveredForm(forms.Form):
    mark_seen = forms.BooleanField(
        label="I have seen the permanent mark on its back", required=False
    )


class PlacedForm(forms.Form):
    where = PlaceField(label="Placed in")

    def offer(self, row: Facsimile) -> None:
        where: Any = self.fields["where"]
        where.fill()


class EndForm(forms.Form):
    note = forms.CharField(label="Where it is kept, or how it was destroyed", max_length=500)


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step of the chain: its words, its form, its action, and who may make it."""

    label: str
    state: FacsimileState
    form: type[forms.Form]
    deed: Callable[..., Facsimile]
    deeds: tuple[Deed, ...]
    also: tuple[tuple[str, Any], ...] = ()


STEPS: Final[dict[str, Step]] = {
    "master": Step(
        label="Name the master image",
        state=State.MASTER_READY,
        form=MasterForm,
        deed=deeds.name_master,
        deeds=(Deed.PREPARE, Deed.CHOOSE),
    ),
    "proof": Step(
        label="See a proof",
        state=State.PROOF,
        form=ProofForm,
        deed=deeds.see_proof,
        deeds=(Deed.CHOOSE, Deed.PREPARE),
    ),
    "approve": Step(
        label="Approve the proof",
        state=State.APPROVED,
        form=NothingForm,
        deed=deeds.approve_facsimile,
        deeds=(Deed.CHOOSE,),
    ),
    "deliver": Step(
        label="Deliver it",
        state=State.DELIVERED,
        form=DeliveredForm,
        deed=deeds.deliver_facsimile,
        deeds=(Deed.PREPARE, Deed.CHOOSE),
    ),
    "place": Step(
        label="Place it",
        state=State.PLACED,
        form=PlacedForm,
        deed=deeds.place_facsimile,
        deeds=(Deed.HANDLE, Deed.PREPARE),
    ),
    "take-out": Step(
        label="Take it out",
        state=State.TAKEN_OUT,
        form=NothingForm,
        deed=deeds.take_facsimile_out,
        deeds=(Deed.HANDLE, Deed.PREPARE),
    ),
    "keep": Step(
        label="Keep it",
        state=State.KEPT,
        form=EndForm,
        deed=deeds.end_facsimile,
        deeds=(Deed.CHOOSE, Deed.PREPARE),
        also=(("destroyed", False),),
    ),
    "destroy": Step(
        label="Destroy it",
        state=State.DESTROYED,
        form=EndForm,
        deed=deeds.end_facsimile,
        deeds=(Deed.CHOOSE, Deed.PREPARE),
        also=(("destroyed", True),),
    ),
}


@signed_in
def facsimile_step(request: SignedInRequest, uid: UUID, step: str) -> HttpResponse:
    """Make one step of the chain."""
    if step not in STEPS:
        raise Http404
    row, subject = _seen(request, uid)
    taken = STEPS[step]
    role = role_for_one_of(request, taken.deeds, subject)
    form: Any = taken.form(posted(request))
    if hasattr(form, "offer"):
        form.offer(row)

    def act(data: dict[str, Any]) -> str:
        taken.deed(
            by=request.person,
            role=role,
            at=request.at,
            facsimile=row,
            **data,
            **dict(taken.also),
        )
        return f"{row.facsimile_no}: {taken.state.label}."

    page = FormPage(
        title=f"{taken.label}: {row.facsimile_no}",
        submit=taken.label,
        back=reverse("facsimile", args=[uid]),
        lead=f"Facsimile of {row.of_face.museum_object.object_number}, {row.of_face.label}.",
        # It is placed and taken out beside the original, at the open case.
        cautions=cautions_of(row.of_face.museum_object, CautionFor.INSTALL),
    )
    return answer_form(request, form, act, page)


def _notices(row: Facsimile) -> Iterator[str]:
    since = treated_since(row)
    if since is not None and row.state != State.DESTROYED:
        yield (
            f"{row.of_face.label} was treated after its master was taken ({since.step.label}): "
            "compare it with the original; it has to show the state a visitor sees beside it."
        )


@require_GET
@signed_in
def facsimile(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """One facsimile and how far it is."""
    row, subject = _seen(request, uid)
    here = State(row.state)
    ways = [
        Way(href=reverse("facsimile-step", args=[uid, name]), label=step.label, main=True)
        for name, step in STEPS.items()
        if here in deeds.BEFORE[step.state] and may_one_of(request, step.deeds, subject)
    ]
    if here is not State.DESTROYED and may_one_of(request, (Deed.PREPARE, Deed.CHOOSE), subject):
        ways.append(
            Way(
                href=reverse("print-new", args=[PaperKind.FACSIMILE_LABEL.value, uid]),
                label="Print its labels",
            )
        )
    plan = schedule_of(row.showing, request.at) if row.showing and not row.delivered_at else None
    needed = facsimile_needed(row, plan)
    done = here in (State.DELIVERED, State.PLACED, State.TAKEN_OUT, State.KEPT)
    page = RecordPage(
        title=f"Facsimile {row.facsimile_no}",
        museum_object=row.of_face.museum_object,
        back=back_to(row.showing, row.of_face.museum_object),
        record=row,
        mark="done" if done else "square" if here is State.DESTROYED else "with_someone",
        word=here.label,
        notices=list(_notices(row)),
        pictures=[row.master] if row.master else [],
        ways=ways,
        facts=[
            text("Of face", row.of_face.label),
            text("Use", row.get_use_display()),
            text("Public label", row.public_label),
            text("Mark on the back", row.mark_on_back),
            Fact(label="Scale", number=row.scale_percent, unit="%"),
            text("Print method", row.print_method),
            text("Paper", row.paper),
            text("Trim", row.trim),
            text("Aged look", "yes" if row.aged_look else "no"),
            Fact(label="Needed by", day=needed.on),
            *([text("Worked back", needed.because)] if needed.because else []),
            text("Who makes it", row.with_whom or ""),
            who("Asked by", row.asked_by, row.asked_at),
            who("Proof seen by", row.proof_seen_by, row.proof_seen_at),
            text("Proof seen in", row.proof_light),
            who("Approved by", row.approved_by, row.approved_at),
            who("Delivered by", row.delivered_by, row.delivered_at),
            Fact(label="Placed", text=str(row.placed_where or ""), moment=row.placed_at),
            Fact(label="Taken out", moment=row.taken_out_at),
            text("After the show", row.get_after_show_display()),
            Fact(label="Kept or destroyed", text=row.ended_note, moment=row.ended_at),
        ],
    )
    return show_record(request, page)
