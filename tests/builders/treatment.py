"""Builders for treatment: a proposal on its way to consent, made with the real actions."""

from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

from lifecycle.actions.signing import Hand, with_account
from lifecycle.actions.treatment import (
    MaterialDraft,
    OptionDraft,
    StepDone,
    StepDraft,
    VersionDraft,
    give_consent,
    open_proposal,
    send_version,
    write_version,
)
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import LightKind, ReportKind
from lifecycle.queries.signed_text.treatment import CommunityWord
from lifecycle.records.models import (
    ConditionReport,
    Document,
    Face,
    MuseumObject,
    Person,
    Picture,
    Showing,
    Vocabulary,
    Word,
)
from lifecycle.records.models.treatment import (
    Aim,
    Consent,
    Decision,
    HowGiven,
    Material,
    MaterialKind,
    MaterialTest,
    Proposal,
    ProposalVersion,
    TreatmentReport,
    TreatmentStep,
    Undo,
)
from tests.builders.core import AT, kept_by, make_person, make_showing, make_word

PASSWORD = "long enough 42"
HOUR = timedelta(hours=1)


def step_word(code: str, label: str = "") -> Word:
    return make_word(Vocabulary.TREATMENT_STEP, code, label)


def make_material(name: str = "wheat starch paste", **values: Any) -> Material:
    values.setdefault("kind", MaterialKind.ADHESIVE)
    values.setdefault("grade", "cooked here")
    values.setdefault("batch", "1")
    values.setdefault("test_state", MaterialTest.ACCEPTED_LIST)
    values.setdefault("accepted_for_contact", True)
    values.setdefault("accepted_for_mount", True)
    found = Material.objects.filter(name=name, grade=values["grade"], batch=values["batch"]).first()
    return found or Material(name=name, **values).keep(**kept_by())


def make_signed_report(
    museum_object: MuseumObject,
    kind: ReportKind = ReportKind.BASELINE,
    *,
    examined_at: datetime = AT - timedelta(days=30),
    **values: Any,
) -> ConditionReport:
    """A report that stands as signed; its own rules are tested where they belong."""
    reason = make_word(Vocabulary.REPORT_REASON, "exhibition")
    values.setdefault("report_no", f"CR-{uuid4().hex[:6]}")
    by = values.pop("by", None)
    report = ConditionReport(
        museum_object=museum_object,
        kind=kind,
        reason=reason,
        examined_at=examined_at,
        entered_at=examined_at,
        entered_by=by or Person.objects.order_by("pk")[0],
        signed_at=examined_at,
        digest="a" * 64,
        signed_text="Condition report\n",
        **values,
    )
    return report.keep(**kept_by())


def make_picture(face: Face, *, taken_at: datetime, light: LightKind, **values: Any) -> Picture:
    name = uuid4().hex
    return Picture(
        sha256=(name * 2)[:64],
        name=f"{name[:6]}.png",
        mime="image/png",
        width=800,
        height=600,
        size_bytes=10_000,
        museum_object=face.museum_object,
        face=face,
        taken_at=taken_at,
        light=light,
        entered_at=taken_at,
        **values,
    ).keep(**kept_by())


def put_at(showing: Showing, stage: Stage) -> Showing:
    """Put the row where the story begins; the moves themselves are tested elsewhere."""
    row = Showing.objects.get(pk=showing.pk)
    row.stage = stage.value
    return row.keep(**kept_by(), fields=["stage"])


def hand_of(person: Person, role: Role) -> Hand:
    return with_account(person=person, role=role, password=PASSWORD)


def draft(**values: Any) -> VersionDraft:
    """A draft that may be sent, but for the report it rests on."""
    values.setdefault("aim", Aim.STABILISE)
    values.setdefault("aim_text", "Make the leaves safe to open.")
    values.setdefault("why", "It holds the tears and can be taken off again.")
    values.setdefault("stop_rules", "Any movement of ink.")
    values.setdefault("hours_est", Decimal(6))
    values.setdefault("finish_by", date(2026, 7, 1))
    undo = Undo.CAN_BE_UNDONE if values.pop("reversible", True) else Undo.CANNOT_BE_UNDONE
    values.setdefault(
        "options",
        (
            OptionDraft(what="Do nothing.", undo=Undo.NOTHING_DONE, do_nothing=True),
            OptionDraft(what="Mend locally.", undo=undo, chosen=True),
        ),
    )
    if "steps" not in values:
        values["steps"] = (StepDraft(step=step_word("mend")),)
    if "materials" not in values:
        values["materials"] = (MaterialDraft(material=make_material()),)
    return VersionDraft(**values)


def make_proposal(
    conservator: Person, *, showing: Showing | None = None, at: datetime = AT, **values: Any
) -> Proposal:
    """An opened proposal with a first version written, not sent."""
    showing = showing or make_showing()
    proposal = open_proposal(
        by=conservator,
        role=Role.CONSERVATOR,
        at=at,
        showing=showing,
        aftercare=values.pop("aftercare", False),
    )
    report = make_signed_report(showing.museum_object, by=conservator)
    write_version(
        by=conservator,
        role=Role.CONSERVATOR,
        at=at,
        version=proposal.versions.get(),
        edition=1,
        draft=draft(based_on=report, **values),
    )
    return proposal


def make_sent(
    conservator: Person, *, showing: Showing | None = None, at: datetime = AT, **values: Any
) -> ProposalVersion:
    proposal = make_proposal(conservator, showing=showing, at=at, **values)
    return send_version(
        hand=hand_of(conservator, Role.CONSERVATOR), at=at, version=proposal.versions.get()
    )


def agree(
    person: Person,
    version: ProposalVersion,
    *,
    at: datetime,
    role: Role = Role.CURATOR,
    **values: Any,
) -> Consent:
    values.setdefault("decision", Decision.AGREE)
    return give_consent(hand=hand_of(person, role), at=at, version=version, **values)


def a_writing(name: str = "answer.pdf") -> Document:
    return Document(
        sha256=uuid4().hex * 2,
        name=name,
        mime="application/pdf",
        size_bytes=9,
        title="What they answered",
        entered_at=AT,
    ).keep(**kept_by())


def recording(person: Person, role: Role = Role.REGISTRAR) -> Hand:
    """The hand of whoever puts the answer of somebody outside on record, with its writing."""
    return with_account(person=person, role=role, password=PASSWORD, scan=a_writing())


def told_by(community: str, at: datetime, **values: Any) -> CommunityWord:
    values.setdefault("speaker", "Asa Merrin")
    values.setdefault("how", HowGiven.MEETING)
    return CommunityWord(community=community, given_at=at, **values)


def done(step: Word, *, at: datetime, **values: Any) -> StepDone:
    values.setdefault("result", "Holds.")
    values.setdefault("hours", Decimal("0.5"))
    return StepDone(step=step, observed_at=at, **values)


def make_treatment_report(museum_object: MuseumObject, **values: Any) -> TreatmentReport:
    """A draft about one emergency step, as bare rows: its rules are tested where they belong."""
    by = Person.objects.order_by("pk").first() or make_person(Role.CONSERVATOR)
    number = f"TP-{Proposal.objects.count() + 1:04d}"
    proposal = Proposal(
        proposal_no=number, museum_object=museum_object, opened_by=by, opened_at=AT
    ).keep(**kept_by())
    TreatmentStep(
        museum_object=museum_object,
        proposal=proposal,
        observed_at=AT,
        observed_by=by,
        entered_at=AT,
        entered_by=by,
        step=step_word("consolidate"),
        result="The flake lies flat.",
        hours=Decimal("0.5"),
        emergency=True,
        emergency_reason="A flake was lifting.",
    ).append()
    return TreatmentReport(proposal=proposal, author=by, **values).keep(**kept_by())
