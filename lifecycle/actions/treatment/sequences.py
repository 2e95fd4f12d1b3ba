"""Write a sequence of usual steps down, change it, put it away; log one in one go at the bench."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import IntegrityError, transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Conflict, Reason, Refused
from lifecycle.actions.treatment.logging import StepDone, log_step
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.changes import who_saved
from lifecycle.queries.rights import museum_day
from lifecycle.records.models.objects import MuseumObject
from lifecycle.records.models.people import Person
from lifecycle.records.models.showings import Showing
from lifecycle.records.models.treatment import (
    Proposal,
    StepSequence,
    StepSequenceLine,
    TreatmentStep,
)
from lifecycle.records.models.words import Vocabulary, Word


@dataclass(frozen=True, slots=True, kw_only=True)
class UsualStep:
    """A line of a sequence. Strength in percent, minutes, hours, temperature in °C."""

    step: Word
    hours: Decimal
    material_name: str = ""
    grade: str = ""
    concentration: Decimal | None = None
    amount: str = ""
    minutes: Decimal | None = None
    temperature_c: Decimal | None = None
    result: str = ""


FIGURES = ("step", "hours", "concentration", "minutes", "temperature_c")
TEXTS = ("material_name", "grade", "amount", "result")


@transaction.atomic
def write_sequence(
    *,
    by: Person,
    role: Role,
    at: datetime,
    name: str,
    used_for: str,
    lines: Sequence[UsualStep],
    sequence: StepSequence | None = None,
    edition: int = 1,
) -> StepSequence:
    """Write a new sequence, or save a changed one. It consents to nothing.

    :raises Conflict: if somebody saved the same sequence meanwhile
    :raises Refused: if its name is taken, it has no line, or a figure can't be true
    """
    allow(by=by, role=role, deed=Deed.TREAT, at=at)
    held = (
        StepSequence()
        if sequence is None
        else StepSequence.objects.select_for_update().get(pk=sequence.pk)
    )
    if sequence is not None and held.edition != edition:
        who = who_saved(held)
        raise Conflict(
            f"{who} saved “{held.name}” while you were writing. Look at it, and save again.",
            theirs={"name": held.name, "used_for": held.used_for},
            mine={"name": name, "used_for": used_for},
            by=who,
            version=held.edition,
        )
    if reasons := list(_faults(held, name, lines)):
        raise Refused(reasons)
    if sequence is not None:
        held.edition += 1
    held.name, held.used_for = name.strip(), used_for.strip()
    sign: dict[str, Any] = {"by": by, "role": role, "why": "sequence of steps saved", "at": at}
    try:
        with transaction.atomic():
            held.keep(**sign)
    except IntegrityError as clash:
        raise Refused(_taken(name)) from clash
    rows = list(held.lines.order_by("order", "pk"))
    for number, line in enumerate(lines, start=1):
        row = rows[number - 1] if number <= len(rows) else StepSequenceLine(sequence=held)
        row.order, row.left_out = number, False
        for field in FIGURES:
            setattr(row, field, getattr(line, field))
        for field in TEXTS:
            setattr(row, field, getattr(line, field).strip())
        row.keep(**sign)
    for row in rows[len(lines) :]:
        if not row.left_out:
            row.left_out = True
            row.keep(**sign)
    return held


@transaction.atomic
def add_sequences(
    *,
    by: Person,
    role: Role,
    at: datetime,
    chosen: Sequence[tuple[str, str, Sequence[UsualStep]]],
) -> list[StepSequence]:
    """Write the sequences of a starting set that are not there yet: name, what for, steps each.

    One of the same name stays as the laboratory wrote it.

    :raises Refused: when none is chosen
    """
    allow(by=by, role=role, deed=Deed.TREAT, at=at)
    if not chosen:
        raise Refused(Reason("Choose at least one sequence.", "chosen"))
    have = set(StepSequence.objects.values_list("name", flat=True))
    return [
        write_sequence(by=by, role=role, at=at, name=name, used_for=used_for, lines=lines)
        for name, used_for, lines in chosen
        if name not in have
    ]


def _is_taken(held: StepSequence, name: str) -> bool:
    return StepSequence.objects.filter(name=name.strip()).exclude(pk=held.pk).exists()


def _taken(name: str) -> Reason:
    return Reason(f"“{name.strip()}” is on record already: give it another name.", "name")


def _faults(held: StepSequence, name: str, lines: Sequence[UsualStep]) -> Iterator[Reason]:
    if not name.strip():
        yield Reason("Give the sequence a name.", "name")
    if _is_taken(held, name):
        yield _taken(name)
    if not lines:
        yield Reason("Name at least one step.", "lines")
    for line in lines:
        said = line.step.label
        if line.step.vocabulary != Vocabulary.TREATMENT_STEP:
            yield Reason(f"{said} is not a treatment step.", "lines")
        if not 0 < line.hours <= 24:
            yield Reason(f"{said}: hours of one step lie between 0 and 24.", "lines")
        if line.minutes is not None and line.minutes < 0:
            yield Reason(f"{said}: minutes can't be below nothing.", "lines")
        if line.concentration is not None and not 0 < line.concentration <= 100:
            yield Reason(f"{said}: strength is a percentage between 0 and 100.", "lines")
        if line.concentration is not None and not line.material_name.strip():
            yield Reason(f"{said}: name the material that this strength belongs to.", "lines")


@transaction.atomic
def put_sequence_away(
    *, by: Person, role: Role, at: datetime, sequence: StepSequence, away: bool
) -> StepSequence:
    """Offer a sequence at the bench no longer, or again."""
    allow(by=by, role=role, deed=Deed.TREAT, at=at)
    held = StepSequence.objects.select_for_update().get(pk=sequence.pk)
    held.retired_on = museum_day(at) if away else None
    why = "put away" if away else "offered again"
    return held.keep(by=by, role=role, why=why, at=at, fields=["retired_on"])


@transaction.atomic
def log_sequence(
    *,
    by: Person,
    role: Role,
    at: datetime,
    museum_object: MuseumObject,
    done: Sequence[tuple[int, StepDone]],
    proposal: Proposal | None = None,
    showing: Showing | None = None,
) -> tuple[TreatmentStep, ...]:
    """Log several steps in their order, all or none; ``done`` pairs each with its row on the form.

    :raises Refused: with every reason of every row; the field is ``row-<number>-<field>``
    """
    if not done:
        raise Refused(Reason("Tick at least one step that was done.", code="sequence.empty"))
    steps: list[TreatmentStep] = []
    reasons: list[Reason] = []
    for number, one in done:
        try:
            step = log_step(
                by=by,
                role=role,
                at=at,
                museum_object=museum_object,
                done=one,
                proposal=proposal,
                showing=showing,
            )
        except Refused as refused:
            reasons += [_at_row(reason, number) for reason in refused.reasons]
        else:
            steps.append(step)
    if reasons:
        raise Refused(reasons)
    return tuple(steps)


def _at_row(reason: Reason, number: int) -> Reason:
    return replace(reason, field=f"row-{number}-{reason.field}" if reason.field else "")
