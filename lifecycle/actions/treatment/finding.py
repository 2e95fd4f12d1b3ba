"""Record what came to light during treatment and what it changes; ask again whom it concerns."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import datetime

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.objects.beside import add_component
from lifecycle.actions.objects.faces import FaceDetails, add_face
from lifecycle.actions.preparation.rights import allow_one_of
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.finding_effects import AskedKind, Changes, in_doubt
from lifecycle.process.minutes import before
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.condition.known import next_feature_number
from lifecycle.queries.rights import about_object, about_showing
from lifecycle.queries.treatment.asked_again import made_so_far
from lifecycle.queries.treatment.consenting import clock_at
from lifecycle.queries.treatment.reading import whole_proposals
from lifecycle.records.models.condition import Feature
from lifecycle.records.models.objects import Component, Face, MuseumObject
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Picture
from lifecycle.records.models.rules import SensitivityClass
from lifecycle.records.models.treatment import (
    AskedAgain,
    AskedAgainAnswer,
    Proposal,
    StillFits,
    TreatmentFinding,
    TreatmentStep,
)
from lifecycle.records.models.words import Vocabulary, Word


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundInTreatment:
    """What was seen, where and in which light (the picture says it), and what it changes."""

    face: Face
    term: Word
    what: str
    picture: Picture
    observed_at: datetime
    zone: str = ""
    component_label: str = ""
    component_description: str = ""
    class_now: SensitivityClass | None = None
    new_face: FaceDetails | None = None
    plan_change: str = ""

    @property
    def changes(self) -> tuple[Changes, ...]:
        told = {
            Changes.COMPONENTS: bool(self.component_label.strip()),
            Changes.SENSITIVITY_CLASS: self.class_now is not None,
            Changes.FACES: self.new_face is not None,
            Changes.PLAN: bool(self.plan_change.strip()),
        }
        return tuple(change for change, is_told in told.items() if is_told)


@transaction.atomic
def record_finding(
    *, by: Person, role: Role, at: datetime, step: TreatmentStep, found: FoundInTreatment
) -> TreatmentFinding:
    """Keep a finding with its number, change what it changes, and ask again only those concerned.

    :raises Refused: with everything that can't be true of it
    """
    thing = MuseumObject.objects.select_for_update().get(pk=step.museum_object_id)
    about = about_object(thing) if step.showing is None else about_showing(step.showing)
    allow(by=by, role=role, deed=Deed.TREAT, at=at, about=about)
    if reasons := list(_faults(thing, step, found, at)):
        raise Refused(reasons)
    clock = clock_at(at)
    proposal: Proposal | None = None
    if step.proposal_id is not None:
        proposal = whole_proposals(Proposal.objects.filter(pk=step.proposal_id)).get()
    made = list(made_so_far(thing, proposal, clock))
    feature = Feature(
        museum_object=thing,
        face=found.face,
        number=next_feature_number(thing),
        term=found.term,
    ).keep(by=by, role=role, why="found during treatment", at=at)
    component: Component | None = None
    if found.component_label.strip():
        with _fields_of("component"):
            component = add_component(
                by=by,
                role=role,
                at=at,
                museum_object=thing,
                label=found.component_label,
                description=found.component_description,
            )
    new_face: Face | None = None
    if found.new_face is not None:
        with _fields_of("new_face"):
            new_face = add_face(
                by=by, role=role, at=at, museum_object=thing, details=found.new_face
            )
    class_before = found.face.sensitivity_class or thing.sensitivity_class
    if found.class_now is not None:
        held = Face.objects.select_for_update().get(pk=found.face.pk)
        held.sensitivity_class = found.class_now
        why = f"F{feature.number}, found during treatment: {found.what.strip()}"
        held.keep(by=by, role=role, why=why[:500], at=at, fields=["sensitivity_class"])
    finding = TreatmentFinding(
        museum_object=thing,
        showing=step.showing,
        step=step,
        feature=feature,
        zone=found.zone,
        what=found.what.strip(),
        picture=found.picture,
        component=component,
        class_before=class_before if found.class_now is not None else None,
        class_now=found.class_now,
        new_face=new_face,
        plan_change=found.plan_change.strip(),
        observed_at=found.observed_at,
        observed_by=by,
        entered_at=at,
        entered_by=by,
    ).append()
    for one in in_doubt(found.changes, face_id=found.face.pk, made=made):
        AskedAgain(
            finding=finding,
            kind=one.made.kind,
            subject_uid=one.made.uid,
            subject_no=one.made.number,
            role=one.made.role,
            person_id=one.made.person_id,
            because=one.because,
            asked_at=at,
        ).append()
    return finding


@contextmanager
def _fields_of(part: str) -> Iterator[None]:
    """Let what another deed refuses stand beside the fields of this form."""
    try:
        yield
    except Refused as refused:
        raise Refused(
            [replace(reason, field=f"{part}_{reason.field}") for reason in refused.reasons]
        ) from refused


def _faults(
    thing: MuseumObject, step: TreatmentStep, found: FoundInTreatment, at: datetime
) -> Iterator[Reason]:
    if not found.what.strip():
        yield Reason("Say what was seen; what it means may follow.", "what")
    if found.term.vocabulary != Vocabulary.CONDITION_TERM:
        yield Reason(f"“{found.term}” is not a condition term; choose one of the list.", "term")
    if found.face.museum_object_id != thing.pk:
        yield Reason(f"{found.face} is not a face of {thing}.", "face")
    if found.picture.museum_object_id != thing.pk:
        yield Reason("The picture shows another object.", "picture")
    if not found.picture.light:
        yield Reason("Say in which light the picture was taken.", "light")
    if found.observed_at > at:
        yield Reason("It can't have been found in the future.", "observed_at")
    elif before(found.observed_at, step.observed_at):
        yield Reason(
            "It was found before the step it came to light in: choose that step.", "observed_at"
        )
    same = found.face.sensitivity_class or thing.sensitivity_class
    if found.class_now is not None and found.class_now == same:
        yield Reason(f"{found.face} is of this class already: leave the field empty.", "class_now")
    if found.component_description.strip() and not found.component_label.strip():
        yield Reason("Name the component.", "component_label")


#: Who may say that a thing still fits, by what it is.
MAY_ANSWER = {
    AskedKind.IMAGING: (Deed.EXAMINE, Deed.CHOOSE),
    AskedKind.FACSIMILE: (Deed.CHOOSE, Deed.EXAMINE),
    AskedKind.MOUNT: (Deed.PREPARE,),
    AskedKind.ACCOUNT: (Deed.EXAMINE,),
}


@transaction.atomic
def answer_asked_again(
    *, by: Person, role: Role, at: datetime, asked: AskedAgain, answer: StillFits, why: str
) -> AskedAgainAnswer:
    """Say whether it still fits. A consent is not answered here: it is given again, signed.

    :raises NotAllowed: if nothing of it is this role's to answer
    :raises Refused: for a consent, or without a reason
    """
    held = (
        AskedAgain.objects.select_for_update(of=("self",))
        .select_related("finding__museum_object", "finding__showing")
        .get(pk=asked.pk)
    )
    kind = AskedKind(held.kind)
    if kind is AskedKind.CONSENT:
        text = f"A consent is given again, signed, on the page of {held.subject_no}."
        raise Refused(Reason(text, code="finding.consent"))
    showing, thing = held.finding.showing, held.finding.museum_object
    about = about_object(thing) if showing is None else about_showing(showing)
    allow_one_of(by=by, role=role, deeds=MAY_ANSWER[kind], at=at, about=about)
    if not why.strip():
        raise Refused(Reason("Say what you looked at, and what you saw.", "why"))
    return AskedAgainAnswer(
        asked=held, answer=answer, why=why.strip(), by=by, role=role, at=at
    ).append()
