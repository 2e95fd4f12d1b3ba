"""Make a move: the one place where a showing changes its stage."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from uuid import UUID

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import NotAllowed, Reason, Refused
from lifecycle.process.days import day_words
from lifecycle.process.evidence import evidence_of
from lifecycle.process.facts.showing import ShowingFacts
from lifecycle.process.move import Move
from lifecycle.process.moves import MOVES
from lifecycle.process.saying import Saying
from lifecycle.process.stages import Role, Stage
from lifecycle.queries.facts import facts_of_one
from lifecycle.queries.rights import about_showing, person_facts
from lifecycle.records.models import JournalEntry, MuseumObject, Person, Showing


class Overtaken(Refused):
    """Somebody else moved the showing meanwhile; the reason says who, when and what."""


def lock_showing(showing_id: int) -> Showing:
    """Return the showing with its object, both locked until the transaction ends.

    The object is locked first, so that two showings of one object wait for each other in one
    order. :raises Refused: if there is no such showing.
    """
    object_id = (
        Showing.objects.filter(pk=showing_id).values_list("museum_object_id", flat=True).first()
    )
    if object_id is None:
        raise Refused("There is no such showing: go back to the list and choose again.")
    MuseumObject.objects.select_for_update().get(pk=object_id)
    showing = Showing.objects.select_for_update().get(pk=showing_id)
    return Showing.objects.select_related("museum_object", "exhibition").get(pk=showing.pk)


def last_entry(showing: Showing) -> JournalEntry | None:
    """Return the last move that was made and not struck."""
    return (
        JournalEntry.objects.filter(showing=showing, struck=None)
        .select_related("by")
        .order_by("-pk")
        .first()
    )


def what_happened(showing: Showing, last: JournalEntry) -> str:
    """Say who made the last move of a showing, when, and where it stands now."""
    return (
        f"{showing.museum_object.object_number} was {MOVES[last.move].done} by "
        f"{last.by.full_name} on {day_words(last.at)} at {last.at:%H:%M} UTC and is now at "
        f"{Stage(showing.stage).label}."
    )


def so_far(showing: Showing) -> str:
    """Say the last move as a sentence that follows a refusal; nothing before the first."""
    last = last_entry(showing)
    return "" if last is None else f" {what_happened(showing, last)}"


@transaction.atomic
def make_move(
    *,
    showing_id: int,
    move: str,
    by: Person,
    role: Role,
    at: datetime,
    reason: str = "",
    second: Person | None = None,
    second_role: Role | None = None,
    to: Stage | None = None,
    emergency: bool = False,
    limits_read: bool = False,
    seen: UUID | None = None,
    evidence: Mapping[str, Sequence[str]] | None = None,
) -> JournalEntry:
    """Move the showing on and journal it, or refuse with every reason and change nothing.

    ``seen`` is the last journal entry the person had before their eyes; when another one has
    been written since, nothing is done twice. ``evidence`` adds to what the facts give.

    :raises NotAllowed: the role may not make this move, here or at all
    :raises Overtaken: somebody moved the showing meanwhile
    :raises Refused: gates or missing words, each as one reason with its code
    """
    if move not in MOVES:
        raise Refused(f"There is no move called “{move}”: choose one from the showing's page.")
    step = MOVES[move]
    showing = lock_showing(showing_id)
    _check_role(step, showing=showing, by=by, role=role, at=at)
    if second is not None and second_role is not None:
        _check_second(second, second_role, at)
    last = last_entry(showing)
    if seen is not None and (last is None or last.uid != seen):
        raise Overtaken(_overtaken(showing, last))
    facts = facts_of_one(showing, at)
    said = Saying(
        role=role,
        by=by.pk,
        reason=reason,
        second=second.pk if second is not None else None,
        second_role=second_role,
        also_roles=person_facts(by, at).roles,
        emergency=emergency,
        limits_read=limits_read,
        to=to,
    )
    if blockers := step.refusals(facts, said):
        reasons = [Reason(blocker.text, code=blocker.code) for blocker in blockers]
        if blockers[0].code == "move.wrong_stage" and last is not None:
            reasons.append(Reason(what_happened(showing, last), code="move.made"))
        raise Refused(reasons)
    entry = _write(
        step,
        facts=facts,
        showing=showing,
        target=step.target(facts, said),
        by=by,
        role=role,
        second=second if second != by else None,
        at=at,
        reason=reason.strip(),
        evidence=evidence or {},
        emergency=emergency,
    )
    if step.also is not None and showing.passed_on_to_id is not None:
        _bring_next(step, showing=showing, entry=entry, role=role, at=at)
    return entry


def _check_role(step: Move, *, showing: Showing, by: Person, role: Role, at: datetime) -> None:
    if role not in step.deeds:
        who = " or ".join(r.label for r in Role if r in step.roles)
        raise NotAllowed(
            f"“{step.label}” is made by a {who}, not by a {role.label}: ask one to make it."
        )
    about = about_showing(showing, at_take_down=step.name == "take_down")
    allow(by=by, role=role, deed=step.deeds[role], at=at, about=about)


def _check_second(second: Person, second_role: Role, at: datetime) -> None:
    if second_role not in person_facts(second, at).roles:
        text = (
            f"{second.full_name} holds no post as {second_role.label} today: "
            "name the role they act in, or another person."
        )
        raise Refused(Reason(text, field="second", code="say.second"))


def _overtaken(showing: Showing, last: JournalEntry | None) -> Reason:
    if last is None:
        text = "The move you saw was struck meanwhile: look at the showing again."
    else:
        text = f"{what_happened(showing, last)} Nothing was done twice; look at it again."
    return Reason(text, code="move.overtaken")


def _write(
    step: Move,
    *,
    facts: ShowingFacts,
    showing: Showing,
    target: Stage,
    by: Person,
    role: Role,
    second: Person | None,
    at: datetime,
    reason: str,
    evidence: Mapping[str, Sequence[str]],
    emergency: bool,
) -> JournalEntry:
    given = {**evidence_of(step, facts), **{kind: list(refs) for kind, refs in evidence.items()}}
    if emergency:
        given["emergency"] = [reason]
    entry = JournalEntry(
        showing=showing,
        move=step.name,
        from_stage=facts.stage.value if facts.stage is not None else "",
        to_stage=target.value,
        by=by,
        role=role.value,
        second=second,
        at=at,
        reason=reason,
        evidence=given,
        waivers=[
            {
                "code": blocker.code,
                "about": blocker.about,
                "text": blocker.text,
                "by": waiver.by,
                "role": waiver.role.value,
                "reason": waiver.reason,
                "until": waiver.until.isoformat() if waiver.until is not None else "",
            }
            for blocker, waiver in step.waived(facts)
        ],
    ).append()
    _set_stage(showing, target, by=by, role=role, why=step.label, at=at)
    return entry


def _set_stage(
    showing: Showing, stage: Stage, *, by: Person, role: Role, why: str, at: datetime
) -> None:
    showing.stage = stage.value
    showing.keep(by=by, role=role.value, why=why, at=at, fields=["stage"])


def _bring_next(
    step: Move, *, showing: Showing, entry: JournalEntry, role: Role, at: datetime
) -> None:
    """Passing on ends one showing and brings the next to examination, in the same breath."""
    if step.also is None or showing.passed_on_to is None:
        return
    source, target = step.also
    coming = Showing.objects.select_for_update().get(pk=showing.passed_on_to.pk)
    if coming.stage != source.value:
        raise Refused(
            f"{coming.request_no} is at {Stage(coming.stage).label} and can't take the object over "
            f"from {showing.request_no}: only one at {source.label} can."
        )
    JournalEntry(
        showing=coming,
        move=step.name,
        from_stage=source.value,
        to_stage=target.value,
        by=entry.by,
        role=entry.role,
        second=entry.second,
        at=at,
        reason=entry.reason,
        evidence=entry.evidence | {"passed on from": [showing.request_no]},
    ).append()
    _set_stage(coming, target, by=entry.by, role=role, why=step.label, at=at)


def take_stage_back(
    showing: Showing, entry: JournalEntry, *, by: Person, role: Role, at: datetime
) -> None:
    """Put the stage back to where the struck ``entry`` found it; the first move leads to none."""
    before = Stage(entry.from_stage) if entry.from_stage else Stage.WITHDRAWN
    _set_stage(showing, before, by=by, role=role, why="Move struck", at=at)
