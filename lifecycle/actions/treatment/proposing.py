"""Open a proposal, start its next version, or drop it."""

from datetime import datetime

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.numbering import next_number
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.actions.treatment.weighing import CautionAnswer, keep_cautions
from lifecycle.process.bench_cautions import Brings, Trait
from lifecycle.process.rights import Deed
from lifecycle.process.stages import CLOSED, Role, Stage
from lifecycle.queries.rights import about_showing
from lifecycle.queries.treatment.reading import reports_to_rest_on
from lifecycle.records.models.people import Person
from lifecycle.records.models.showings import Showing
from lifecycle.records.models.treatment import (
    PlannedStep,
    Proposal,
    ProposalMaterial,
    ProposalOption,
    ProposalPicture,
    ProposalVersion,
    Undo,
)

#: From here no way leads back to treatment before display.
AFTER_DISPLAY = frozenset(
    {Stage.ON_DISPLAY, Stage.ROTATION, Stage.DEINSTALL_CHECK, Stage.REHOUSING}
)


def is_for_aftercare(showing: Showing) -> bool:
    """Whether a proposal opened now is about treatment after display; one query at most."""
    if Stage(showing.stage) is not Stage.TREATMENT:
        return Stage(showing.stage) in AFTER_DISPLAY
    begun = showing.journal.filter(to_stage=Stage.TREATMENT, struck=None).order_by("-pk").first()
    return begun is not None and begun.move == "aftercare"


@transaction.atomic
def open_proposal(
    *, by: Person, role: Role, at: datetime, showing: Showing, aftercare: bool | None = None
) -> Proposal:
    """Open a proposal with its first, empty version; 'do nothing' stands among its options.

    Whether it is aftercare follows from where the showing stands, unless it is said.

    :raises Refused: if the showing is closed, or a proposal of this leg is still unfinished
    """
    allow(by=by, role=role, deed=Deed.TREAT, at=at, about=about_showing(showing))
    held = Showing.objects.select_for_update().select_related("museum_object").get(pk=showing.pk)
    number = held.museum_object.object_number
    if Stage(held.stage) in CLOSED:
        raise Refused(f"The showing of {number} is closed: propose treatment with its next one.")
    if aftercare is None:
        aftercare = is_for_aftercare(held)
    open_ones = Proposal.objects.filter(showing=held, dropped_at=None, aftercare=aftercare)
    for other in open_ones.order_by("pk"):
        if not other.reports.exclude(digest="").exists():
            text = (
                f"{other.proposal_no} for {number} is open: write its next version, or drop it "
                "with a reason."
            )
            raise Refused(Reason(text, code="proposal.open"))
    proposal = Proposal(
        proposal_no=next_number("TP"),
        museum_object=held.museum_object,
        showing=held,
        aftercare=aftercare,
        opened_by=by,
        opened_at=at,
    ).keep(by=by, role=role, why="proposal opened", at=at)
    version = ProposalVersion(
        proposal=proposal, version=1, based_on=reports_to_rest_on(proposal).first()
    ).keep(by=by, role=role, why="first version begun", at=at)
    ProposalOption(
        version=version,
        order=1,
        do_nothing=True,
        what="Do nothing.",
        undo=Undo.NOTHING_DONE,
    ).keep(by=by, role=role, why="first version begun", at=at)
    return proposal


@transaction.atomic
def next_version(*, by: Person, role: Role, at: datetime, proposal: Proposal) -> ProposalVersion:
    """Begin the next version as a copy of the last; it needs consent of its own.

    :raises Refused: if the last version was not sent yet, or the proposal is finished or dropped
    """
    held = _open(by=by, role=role, at=at, proposal=proposal)
    last = held.versions.order_by("-version")[0]
    if not last.signed:
        text = f"v{last.version} of {held.proposal_no} was not sent yet: change that one."
        raise Refused(Reason(text, code="proposal.unsent"))
    fresh = ProposalVersion(
        proposal=held,
        version=last.version + 1,
        based_on=last.based_on,
        aim=last.aim,
        aim_text=last.aim_text,
        state_text=last.state_text,
        why=last.why,
        tests_first=last.tests_first,
        removed_matter=last.removed_matter,
        removed_where=last.removed_where,
        effect_on_display=last.effect_on_display,
        stop_rules=last.stop_rules,
        hours_est=last.hours_est,
        start_not_before=last.start_not_before,
        finish_by=last.finish_by,
        reversible=last.reversible,
    ).keep(by=by, role=role, why=f"begun from v{last.version}", at=at)
    why = f"taken over from v{last.version}"
    for option in last.options.filter(left_out=False).order_by("order", "pk"):
        ProposalOption(
            version=fresh,
            order=option.order,
            do_nothing=option.do_nothing,
            what=option.what,
            gain=option.gain,
            risk=option.risk,
            undo=option.undo,
            hours=option.hours,
            cost=option.cost,
            chosen=option.chosen,
        ).keep(by=by, role=role, why=why, at=at)
    for planned in last.materials.filter(left_out=False).order_by("pk"):
        ProposalMaterial(
            version=fresh,
            material_id=planned.material_id,
            concentration=planned.concentration,
            solvent=planned.solvent,
        ).keep(by=by, role=role, why=why, at=at)
    for step in last.steps.filter(left_out=False).order_by("order", "pk"):
        PlannedStep(
            version=fresh,
            order=step.order,
            step_id=step.step_id,
            face_id=step.face_id,
            area=step.area,
            limits=step.limits,
        ).keep(by=by, role=role, why=why, at=at)
    for shown in last.pictures.filter(left_out=False).order_by("pk"):
        ProposalPicture(version=fresh, picture_id=shown.picture_id).keep(
            by=by, role=role, why=why, at=at
        )
    reasons = [
        CautionAnswer(trait=Trait(row.trait), brings=Brings(row.brings), why=row.why)
        for row in last.cautions.filter(left_out=False).order_by("pk")
    ]
    keep_cautions(fresh, reasons, sign={"by": by, "role": role, "why": why, "at": at}, at=at)
    return fresh


@transaction.atomic
def drop_proposal(
    *, by: Person, role: Role, at: datetime, proposal: Proposal, why: str
) -> Proposal:
    """Give a proposal up; its versions, consents and steps stay readable.

    :raises Refused: if steps were done under it (then a report is owed), or no reason is given
    """
    held = _open(by=by, role=role, at=at, proposal=proposal)
    reasons = []
    if not why.strip():
        reasons.append(Reason("Say why the proposal is dropped.", "why"))
    if held.steps.exists():
        text = (
            f"Steps were done under {held.proposal_no}: it can't be dropped. Write its treatment "
            "report, and say there what was left undone."
        )
        reasons.append(Reason(text, code="proposal.has_steps"))
    if reasons:
        raise Refused(reasons)
    held.dropped_at, held.dropped_why = at, why.strip()
    return held.keep(by=by, role=role, why=why, at=at, fields=["dropped_at", "dropped_why"])


def _open(*, by: Person, role: Role, at: datetime, proposal: Proposal) -> Proposal:
    held = Proposal.objects.select_for_update().get(pk=proposal.pk)
    if held.showing is not None:
        allow(by=by, role=role, deed=Deed.TREAT, at=at, about=about_showing(held.showing))
    else:
        allow(by=by, role=role, deed=Deed.TREAT, at=at)
    if held.dropped_at is not None:
        raise Refused(f"{held.proposal_no} was dropped ({held.dropped_why}): open a new proposal.")
    if held.reports.exclude(digest="").exists():
        raise Refused(f"The report on {held.proposal_no} is signed: open a new proposal.")
    return held
