"""The bench: log a step in seconds, with the limits of the consent and the cautions on top."""

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse

from lifecycle.actions.treatment import log_step
from lifecycle.pages.display.seeing import cautions_of
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.pages.sent_pictures import Received, keep_sent, receive_sent
from lifecycle.pages.treatment.seeing import (
    about_proposal,
    materials_in_use,
    open_showing_of,
    posted,
    seen_proposal,
)
from lifecycle.pages.treatment.step_form import (
    ProposedStepForm,
    StepForm,
    as_written,
    done_of,
    like,
)
from lifecycle.process.cautions import CautionFor
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.rights import about_object
from lifecycle.queries.treatment.bench import bench_of
from lifecycle.queries.treatment.cautions import at_bench, material_cautions, object_cautions
from lifecycle.queries.treatment.consenting import clock_at
from lifecycle.queries.treatment.on_showing import on_object
from lifecycle.queries.treatment.sequences import sequences_in_use
from lifecycle.queries.treatment.standing import in_force_at, standing_consents, why_never
from lifecycle.records.models.objects import MuseumObject
from lifecycle.records.models.pictures import Picture, PicturePurpose
from lifecycle.records.models.treatment import TreatmentStep


def _pictures(
    request: SignedInRequest,
    received: Sequence[Received | None],
    data: dict[str, Any],
    museum_object: MuseumObject,
    role: Role,
) -> tuple[Picture, ...]:
    shown = {"face": data["face"], "museum_object": museum_object, "light": data["light"]}
    shown |= {"taken_at": data["observed_at"], "taken_by": data["observed_by"] or request.person}
    kept = (keep_sent(request, role, r, PicturePurpose.RECORD_DURING, **shown) for r in received)
    return tuple(picture for picture in kept if picture is not None)


def _named(
    request: SignedInRequest, museum_object: MuseumObject, name: str
) -> TreatmentStep | None:
    """The step of this object that the address names: to be done ``again``, or to ``correct``."""
    try:
        uid = UUID(request.GET.get(name, ""))
    except ValueError:
        return None
    rows = museum_object.treatment_steps.select_related(
        "step", "material", "face", "feature", "observed_by", "version", "standing", "medium_test"
    )
    return rows.filter(uid=uid).first()


def _start(
    request: SignedInRequest, museum_object: MuseumObject, wrong: TreatmentStep | None
) -> dict[str, Any]:
    """What the form starts from: the line to be corrected, a step done again, or nothing."""
    if wrong is not None:
        return as_written(wrong)
    return {"observed_at": request.at} | like(_named(request, museum_object, "again"))


@signed_in
def bench(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """The bench page of one proposal."""
    proposal = seen_proposal(request, uid)
    role = request.role_for(Deed.TREAT, about_proposal(proposal))
    thing = proposal.museum_object
    wrong = _named(request, thing, "correct")
    form = ProposedStepForm(
        posted(request),
        request.FILES or None,
        initial=_start(request, thing, wrong),
    )
    form.offer(thing, request.at, wrong)

    def act(data: dict[str, Any]) -> str:
        received = [receive_sent(sent) for sent in data["picture"]]
        with transaction.atomic():
            step = log_step(
                by=request.person,
                role=role,
                at=request.at,
                museum_object=thing,
                proposal=proposal,
                done=done_of(data, _pictures(request, received, data, thing, role), wrong),
            )
        said = "Written again" if wrong else "Logged"
        return f"{said}: {step.step.label} on {thing.object_number}."

    page = FormPage(
        title=f"Bench: {proposal.proposal_no}",
        submit="Write it again" if wrong else "Log the step",
        back=reverse("bench", args=[uid]),
        draft=f"bench-{wrong.uid if wrong else proposal.uid}",
        cautions=cautions_of(thing, CautionFor.TREAT),
        template="treatment/bench.html",
        more={
            "wrong": wrong,
            "proposal": proposal,
            "bench": bench_of(proposal, request.at),
            "sequences": sequences_in_use(),
        },
    )
    return answer_form(request, form, act, page)


@signed_in
def bench_object(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Steps without a proposal: under a standing consent, or in an emergency."""
    thing = get_object_or_404(MuseumObject.objects.select_related("object_type", "lender"), uid=uid)
    role = request.role_for(Deed.TREAT, about_object(thing))
    wrong = _named(request, thing, "correct")
    showing = open_showing_of(thing) if wrong is None else wrong.showing
    form = StepForm(
        posted(request),
        request.FILES or None,
        initial=_start(request, thing, wrong),
    )
    form.offer(thing, request.at, wrong)

    def act(data: dict[str, Any]) -> str:
        received = [receive_sent(sent) for sent in data["picture"]]
        with transaction.atomic():
            step = log_step(
                by=request.person,
                role=role,
                at=request.at,
                museum_object=thing,
                showing=showing,
                done=done_of(data, _pictures(request, received, data, thing, role), wrong),
            )
        under = step.standing.standing_no if step.standing else "an emergency"
        said = "Written again" if wrong else "Logged"
        return f"{said} under {under}: {step.step.label} on {thing.object_number}."

    clock = clock_at(request.at)
    page = FormPage(
        title=f"Minor step or emergency on {thing.object_number}",
        submit="Write it again" if wrong else "Log the step",
        back=reverse("bench-object", args=[uid]),
        draft=f"bench-object-{wrong.uid if wrong else thing.uid}",
        cautions=cautions_of(thing, CautionFor.TREAT),
        template="treatment/bench_object.html",
        more={
            "wrong": wrong,
            "thing": thing,
            "showing": showing,
            "never": list(why_never(thing)),
            "standing": standing_consents().filter(
                in_force_at(clock), object_type=thing.object_type_id
            ),
            "media": object_cautions(at_bench(thing)),
            "sequences": sequences_in_use(),
            "materials": material_cautions(materials_in_use().exclude(safety_note="")),
            "treatment": on_object(thing, request.at),
        },
    )
    return answer_form(request, form, act, page)
