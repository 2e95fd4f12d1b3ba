"""Put a material on record, or change what is known of it."""

from datetime import date, datetime

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.days import day_words
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.records.models.people import Person
from lifecycle.records.models.treatment import Material, MaterialKind, MaterialTest


@transaction.atomic
def add_material(
    *,
    by: Person,
    role: Role,
    at: datetime,
    name: str,
    kind: MaterialKind,
    grade: str = "",
    maker: str = "",
    batch: str = "",
    opened_on: date | None = None,
    plain_words: str = "",
    safety_note: str = "",
    accepted_for_contact: bool = False,
    accepted_for_case: bool = False,
    accepted_for_mount: bool = False,
    test_state: MaterialTest = MaterialTest.TO_TEST,
    tested_on: date | None = None,
    test_result: str = "",
    alkaline: bool | None = None,
) -> Material:
    """Add one grade and batch.

    :raises Refused: if the batch is on record already, a solvent has no safety note, or a
        tested material has no day
    """
    allow(by=by, role=role, deed=Deed.TREAT, at=at)
    reasons = []
    if not name.strip():
        reasons.append(Reason("Give the material its generic name.", "name"))
    same = Material.objects.select_for_update().filter(name=name, grade=grade, batch=batch)
    if same.exists():
        text = f"{name} {grade} batch {batch or '(none)'} is on record already: use that row."
        reasons.append(Reason(text, "batch", "material.twice"))
    if kind is MaterialKind.SOLVENT and not safety_note.strip():
        text = f"Say in your words what the safety data sheet of {name} asks for."
        reasons.append(Reason(text, "safety_note"))
    if test_state is MaterialTest.TESTED and tested_on is None:
        reasons.append(Reason("Give the day of the test.", "tested_on"))
    accepted = accepted_for_contact or accepted_for_case or accepted_for_mount
    if test_state in (MaterialTest.FAILED, MaterialTest.TO_TEST) and accepted:
        text = f"{name} can't be accepted for a use while it is {test_state.label}."
        reasons.append(Reason(text, "test_state"))
    if reasons:
        raise Refused(reasons)
    material = Material(
        name=name.strip(),
        kind=kind,
        grade=grade.strip(),
        maker=maker.strip(),
        batch=batch.strip(),
        opened_on=opened_on,
        plain_words=plain_words.strip(),
        safety_note=safety_note.strip(),
        accepted_for_contact=accepted_for_contact,
        accepted_for_case=accepted_for_case,
        accepted_for_mount=accepted_for_mount,
        test_state=test_state,
        tested_on=tested_on,
        test_result=test_result.strip(),
        alkaline=alkaline,
    )
    return material.keep(by=by, role=role, why="material put on record", at=at)


@transaction.atomic
def use_up_material(
    *, by: Person, role: Role, at: datetime, material: Material, on: date
) -> Material:
    """Say that a batch is used up, so that it is no longer offered."""
    allow(by=by, role=role, deed=Deed.TREAT, at=at)
    row = Material.objects.select_for_update().get(pk=material.pk)
    if row.used_up_on is not None:
        raise Refused(f"{row} was used up on {day_words(row.used_up_on)} already.")
    row.used_up_on = on
    return row.keep(by=by, role=role, why="used up", at=at, fields=["used_up_on"])
