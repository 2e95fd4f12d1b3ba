"""Call objects back on account of how they were treated: all at once, ended with a reason."""

from collections.abc import Iterator, Sequence
from datetime import date, datetime

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.numbering import next_number
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.rights import museum_day
from lifecycle.queries.treatment.materials import ByObject, open_call_backs, touched_by
from lifecycle.queries.treatment.under_old_rules import under_old_caution, under_rules_before
from lifecycle.records.keeping import keep_all
from lifecycle.records.models.objects import MuseumObject
from lifecycle.records.models.people import Person
from lifecycle.records.models.rules import HouseRules
from lifecycle.records.models.treatment import CallBack, CautionRule, Material


@transaction.atomic
def call_back_all(
    *,
    by: Person,
    role: Role,
    at: datetime,
    objects: Sequence[MuseumObject],
    due_on: date,
    reason: str,
    materials: Sequence[Material] = (),
    caution_rule: CautionRule | None = None,
    house_rules: HouseRules | None = None,
) -> list[CallBack]:
    """Ask for each of these objects to be looked at again; all of it or nothing.

    The cause is one of three: batches, a caution changed since, house rules changed since. An
    object that waits for a look on account of the same is not asked for twice.

    :raises Refused: no cause or several, no object, no reason, a day gone by, or an object that the
        cause does not touch
    """
    allow(by=by, role=role, deed=Deed.EXAMINE, at=at)
    if sum((bool(materials), caution_rule is not None, house_rules is not None)) != 1:
        raise Refused("Name one cause: a material, a caution that was changed, or house rules.")
    held = list(
        MuseumObject.objects.select_for_update()
        .filter(pk__in=[one.pk for one in objects])
        .order_by("pk")
    )
    if caution_rule is not None:
        touched = under_old_caution(caution_rule, held)
    elif house_rules is not None:
        touched = under_rules_before(house_rules, held)
    else:
        touched = touched_by(materials, held)
    how = "with it" if materials else "under the old rule"
    if reasons := list(_faults(held, touched, how=how, due_on=due_on, reason=reason, at=at)):
        raise Refused(reasons)
    rows = [
        CallBack(
            museum_object=thing,
            material=touched[thing.pk][-1].material if materials else None,
            caution_rule=caution_rule,
            house_rules=house_rules,
            reason=reason.strip(),
            due_on=due_on,
            asked_at=at,
            asked_by=by,
        )
        for thing in held
    ]
    waiting = {_about(row) for row in open_call_backs().filter(museum_object__in=held)}
    made = [row for row in rows if _about(row) not in waiting]
    for row in made:
        row.call_back_no = next_number("CB")
    keep_all(made, by=by, role=role, why="called back", at=at)
    return made


def _about(row: CallBack) -> tuple[int | None, ...]:
    return row.museum_object_id, row.material_id, row.caution_rule_id, row.house_rules_id


def _faults(
    held: Sequence[MuseumObject],
    touched: ByObject,
    *,
    how: str,
    due_on: date,
    reason: str,
    at: datetime,
) -> Iterator[Reason]:
    if not held:
        yield Reason("Choose at least one object.", "objects")
    if not reason.strip():
        yield Reason("Say what to look for, and why.", "reason")
    if due_on < museum_day(at):
        yield Reason("This day is past: name one from today on.", "due_on")
    for thing in held:
        if thing.pk not in touched:
            text = f"{thing.object_number} was not treated {how}: take it out of the list."
            yield Reason(text, "objects")


@transaction.atomic
def end_call_back(
    *, by: Person, role: Role, at: datetime, call_back: CallBack, why: str
) -> CallBack:
    """End a call-back that is not needed any more; the reason stays."""
    allow(by=by, role=role, deed=Deed.EXAMINE, at=at)
    row = CallBack.objects.select_for_update().get(pk=call_back.pk)
    if row.ended_at is not None:
        raise Refused(f"{row.call_back_no} was ended already.")
    if not why.strip():
        raise Refused(Reason("Say why nobody has to look any more.", "why"))
    row.ended_at, row.ended_by, row.ended_why = at, by, why.strip()
    return row.keep(by=by, role=role, why=why.strip(), at=at)
