"""Save a version that was not sent yet: its words, options, materials and steps at once."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Conflict, Reason, Refused
from lifecycle.actions.treatment.weighing import CautionAnswer, keep_cautions
from lifecycle.process.rights import NOTHING, Deed
from lifecycle.process.stages import Role
from lifecycle.queries.changes import who_saved
from lifecycle.queries.rights import about_showing
from lifecycle.records.models.condition import ConditionReport
from lifecycle.records.models.objects import Face
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Picture
from lifecycle.records.models.treatment import (
    Aim,
    Material,
    PlannedStep,
    ProposalMaterial,
    ProposalOption,
    ProposalPicture,
    ProposalVersion,
    RemovedMatter,
    Undo,
)
from lifecycle.records.models.words import Vocabulary, Word


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionDraft:
    what: str
    undo: Undo
    gain: str = ""
    risk: str = ""
    hours: Decimal | None = None
    cost: str = ""
    chosen: bool = False
    do_nothing: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialDraft:
    material: Material
    concentration: Decimal | None = None
    solvent: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StepDraft:
    step: Word
    face: Face | None = None
    area: str = ""
    limits: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class VersionDraft:
    """What the form says; empty parts are allowed until the version is sent. Work in hours."""

    based_on: ConditionReport | None = None
    aim: Aim | None = None
    aim_text: str = ""
    state_text: str = ""
    why: str = ""
    tests_first: str = ""
    removed_matter: RemovedMatter = RemovedMatter.NONE
    removed_where: str = ""
    effect_on_display: str = ""
    stop_rules: str = ""
    hours_est: Decimal | None = None
    start_not_before: date | None = None
    finish_by: date | None = None
    options: Sequence[OptionDraft] = ()
    materials: Sequence[MaterialDraft] = ()
    steps: Sequence[StepDraft] = ()
    pictures: Sequence[Picture] = ()
    cautions: Sequence[CautionAnswer] = ()


MOST_PICTURES = 4
TEXTS = (
    "aim_text",
    "state_text",
    "why",
    "tests_first",
    "removed_where",
    "effect_on_display",
    "stop_rules",
)
PLAIN = ("based_on", "hours_est", "start_not_before", "finish_by")


@transaction.atomic
def write_version(
    *,
    by: Person,
    role: Role,
    at: datetime,
    version: ProposalVersion,
    edition: int,
    draft: VersionDraft,
) -> ProposalVersion:
    """Save the whole draft. ``edition`` is the count of saves the person's form was made from.

    :raises Conflict: if somebody saved meanwhile; both texts are handed back
    :raises Refused: if the version was sent, or a part can't be true
    """
    held = (
        ProposalVersion.objects.select_for_update(of=("self",))
        .select_related("proposal__museum_object", "proposal__showing")
        .get(pk=version.pk)
    )
    showing = held.proposal.showing
    about = NOTHING if showing is None else about_showing(showing)
    allow(by=by, role=role, deed=Deed.TREAT, at=at, about=about)
    if held.signed:
        text = (
            f"v{held.version} of {held.proposal.proposal_no} was sent and is frozen: "
            "begin its next version."
        )
        raise Refused(Reason(text, code="proposal.sent"))
    if held.edition != edition:
        raise _conflict(held, draft)
    if reasons := list(_faults(held, draft)):
        raise Refused(reasons)
    for name in TEXTS:
        setattr(held, name, getattr(draft, name).strip())
    for name in PLAIN:
        setattr(held, name, getattr(draft, name))
    held.aim = draft.aim.value if draft.aim else ""
    held.removed_matter = draft.removed_matter
    held.reversible = undone_by([o.undo for o in draft.options if o.chosen])
    held.edition += 1
    held.keep(by=by, role=role, why="draft saved", at=at)
    sign = {"by": by, "role": role, "why": "draft saved", "at": at}
    _write_options(held, draft, sign)
    _write_materials(held, draft, sign)
    _write_steps(held, draft, sign)
    _write_pictures(held, draft, sign)
    keep_cautions(held, draft.cautions, sign=sign, at=at)
    return held


def undone_by(chosen: Sequence[Undo]) -> bool | None:
    """Whether a version can be undone: what is said of its chosen option; nothing without one."""
    return chosen[0].can_be_undone if chosen else None


def _conflict(held: ProposalVersion, draft: VersionDraft) -> Conflict:
    who = who_saved(held)
    return Conflict(
        f"{who} saved v{held.version} of {held.proposal.proposal_no} while you were writing. "
        "Nothing of yours is lost: put together what both of you wrote, and save again.",
        theirs={name: getattr(held, name) for name in TEXTS},
        mine={name: getattr(draft, name) for name in TEXTS},
        by=who,
        version=held.edition,
    )


def _faults(held: ProposalVersion, draft: VersionDraft) -> Iterator[Reason]:
    number = held.proposal.museum_object.object_number
    if draft.hours_est is not None and draft.hours_est <= 0:
        yield Reason("Estimated hours must be more than nothing.", "hours_est")
    first, last = draft.start_not_before, draft.finish_by
    if first and last and last < first:
        yield Reason("It can't be finished before it may start: check both days.", "finish_by")
    if draft.based_on is not None:
        if draft.based_on.museum_object_id != held.proposal.museum_object_id:
            yield Reason(f"This report is not about {number}: choose one that is.", "based_on")
        elif not draft.based_on.signed:
            text = f"{draft.based_on.report_no} is not signed: rest on a signed report."
            yield Reason(text, "based_on")
    if sum(option.chosen for option in draft.options) > 1:
        yield Reason("Choose one option, not several.", "options")
    if sum(option.do_nothing for option in draft.options) != 1:
        yield Reason("‘Do nothing’ must stand among the options, once.", "options")
    if any(not option.what.strip() for option in draft.options):
        yield Reason("Say what each option is, or empty its whole row.", "options")
    if any(option.hours is not None and option.hours < 0 for option in draft.options):
        yield Reason("Hours of an option can't be below nothing.", "options")
    for line in draft.materials:
        if line.concentration is not None and not 0 < line.concentration <= 100:
            text = f"The strength of {line.material} is a percentage between 0 and 100."
            yield Reason(text, "materials")
    if len({picture.pk for picture in draft.pictures}) > MOST_PICTURES:
        text = f"Choose {MOST_PICTURES} pictures at most: one of the whole, up to three details."
        yield Reason(text, "pictures")
    for picture in draft.pictures:
        of = picture.face.museum_object_id if picture.face else picture.museum_object_id
        if of != held.proposal.museum_object_id:
            yield Reason(f"{picture.name} does not show {number}.", "pictures")
    for step in draft.steps:
        if step.step.vocabulary != Vocabulary.TREATMENT_STEP:
            yield Reason(f"{step.step.label} is not a treatment step.", "steps")
        if step.face is not None and step.face.museum_object_id != held.proposal.museum_object_id:
            yield Reason(f"{step.face.label} is not a face of {number}.", "steps")


def _write_options(held: ProposalVersion, draft: VersionDraft, sign: dict[str, Any]) -> None:
    rows = list(held.options.order_by("order", "pk"))
    # The unique marks are lifted first, so that a choice can move from one row to another.
    for row in rows:
        if row.chosen or row.do_nothing:
            row.chosen = row.do_nothing = False
            row.keep(**sign)
    for number, option in enumerate(draft.options, start=1):
        row = rows[number - 1] if number <= len(rows) else ProposalOption(version=held)
        row.order, row.left_out = number, False
        row.what, row.undo = option.what.strip(), option.undo
        row.gain, row.risk = option.gain.strip(), option.risk.strip()
        row.hours, row.cost = option.hours, option.cost.strip()
        row.chosen, row.do_nothing = option.chosen, option.do_nothing
        row.keep(**sign)
    _leave_out(rows[len(draft.options) :], sign)


def _write_materials(held: ProposalVersion, draft: VersionDraft, sign: dict[str, Any]) -> None:
    rows = list(held.materials.order_by("pk"))
    for number, line in enumerate(draft.materials):
        row = rows[number] if number < len(rows) else ProposalMaterial(version=held)
        row.material, row.concentration = line.material, line.concentration
        row.solvent, row.left_out = line.solvent.strip(), False
        row.keep(**sign)
    _leave_out(rows[len(draft.materials) :], sign)


def _write_steps(held: ProposalVersion, draft: VersionDraft, sign: dict[str, Any]) -> None:
    rows = list(held.steps.order_by("order", "pk"))
    for number, step in enumerate(draft.steps, start=1):
        row = rows[number - 1] if number <= len(rows) else PlannedStep(version=held)
        row.order, row.left_out = number, False
        row.step, row.face = step.step, step.face
        row.area, row.limits = step.area.strip(), step.limits.strip()
        row.keep(**sign)
    _leave_out(rows[len(draft.steps) :], sign)


def _write_pictures(held: ProposalVersion, draft: VersionDraft, sign: dict[str, Any]) -> None:
    rows = {row.picture_id: row for row in held.pictures.order_by("pk")}
    wanted = {picture.pk: picture for picture in draft.pictures}
    for pk, picture in wanted.items():
        row = rows.get(pk) or ProposalPicture(version=held, picture=picture)
        row.left_out = False
        row.keep(**sign)
    _leave_out([row for pk, row in rows.items() if pk not in wanted], sign)


def _leave_out(
    rows: Sequence[ProposalOption | ProposalMaterial | PlannedStep | ProposalPicture],
    sign: dict[str, Any],
) -> None:
    for row in rows:
        if not row.left_out:
            row.left_out = True
            row.keep(**sign)
