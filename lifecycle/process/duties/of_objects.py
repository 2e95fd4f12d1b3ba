"""Duties that lie on an object, in a showing or at rest: advice, next checks, signatures."""

from dataclasses import dataclass
from datetime import date, timedelta
from textwrap import shorten
from typing import Final

from lifecycle.process.days import day_words
from lifecycle.process.duties.duty import Duty
from lifecycle.process.stages import Role

ADVICE_CUT: Final = 140
"""Characters of a recommendation on one line of Today; the page it leads to has all of it."""

CHECK_NOTICE: Final = timedelta(days=28)
"""How long before its day a check stands on Today."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AdviceFacts:
    """One recommendation of a signed report that nobody has answered."""

    uid: str
    report_no: str
    about: str
    text: str
    written_on: date
    due_on: date | None
    object_id: int
    object_number: str
    title: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckFacts:
    """The next check that the last full report of an object asks for."""

    report_uid: str
    report_no: str
    examined_on: date
    due_on: date
    object_id: int
    object_uid: str
    object_number: str
    title: str


def advice_to_answer(advice: AdviceFacts) -> Duty:
    """A recommendation is a task until somebody says how it was dealt with."""
    said = shorten(advice.text, ADVICE_CUT, placeholder=" …")
    return Duty(
        key=f"advice:{advice.uid}",
        code="advice.open",
        text=f"{advice.about.capitalize()} of {advice.object_number}: {said}",
        why=(
            f"Recommended in {advice.report_no} on {day_words(advice.written_on)}; it stays "
            "until somebody says how it was dealt with."
        ),
        role=Role.CONSERVATOR,
        due_on=advice.due_on,
        object_number=advice.object_number,
        title=advice.title,
        subject_uid=advice.uid,
    )


def check_to_make(check: CheckFacts) -> Duty:
    """The next check stands on Today until a later full report is signed."""
    return Duty(
        key=f"check:{check.report_uid}",
        code="check.due",
        text=f"Examine {check.object_number} again.",
        why=(
            f"{check.report_no} of {day_words(check.examined_on)} asks for the next check by then."
        ),
        role=Role.CONSERVATOR,
        due_on=check.due_on,
        object_number=check.object_number,
        title=check.title,
        subject_uid=check.object_uid,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class AwaitedFacts:
    """A signature that is waited for: whose, as what, and how it came to be missing."""

    uid: str
    report_uid: str
    report_no: str
    person: str
    capacity: str
    left_at: str
    due_on: date
    because: str
    object_number: str
    title: str


def signature_to_get(awaited: AwaitedFacts) -> Duty:
    """Whoever left before signing is asked until the signed sheet, or the signature, is in."""
    return Duty(
        key=f"unsigned:{awaited.uid}",
        code="signature.awaited",
        text=f"Get the signature of {awaited.person} under {awaited.report_no}.",
        why=f"{awaited.capacity.capitalize()} left {awaited.left_at}, because {awaited.because}",
        role=Role.REGISTRAR,
        due_on=awaited.due_on,
        object_number=awaited.object_number,
        title=awaited.title,
        subject_uid=awaited.report_uid,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class RecallFacts:
    """An object to look at again on account of its treatment, or of a material it met."""

    uid: str
    number: str
    why: str
    due_on: date
    object_uid: str
    object_number: str
    title: str


def recall_to_keep(recall: RecallFacts) -> Duty:
    """A call-back stands on Today until its report is signed, or somebody ends it."""
    said = shorten(recall.why, ADVICE_CUT, placeholder=" …")
    return Duty(
        key=f"recall:{recall.uid}",
        code="recall.due",
        text=f"Look at {recall.object_number} again ({recall.number}).",
        why=said,
        role=Role.CONSERVATOR,
        due_on=recall.due_on,
        object_number=recall.object_number,
        title=recall.title,
        subject_uid=recall.object_uid,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class LapseFacts:
    """A material in use whose test counts until a day."""

    uid: str
    material: str
    until: date


def material_to_test(lapse: LapseFacts) -> Duty:
    """A test that lapses stands on Today; the material is not barred, its users are warned."""
    return Duty(
        key=f"material:{lapse.uid}:{lapse.until.isoformat()}",
        code="material.lapse",
        text=f"Test {lapse.material} again, or take it out of use.",
        why=f"Its test counts until {day_words(lapse.until)}.",
        role=Role.CONSERVATOR,
        due_on=lapse.until,
        subject_uid=lapse.uid,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class StandingFacts:
    """A standing consent that has not been agreed to by everybody it needs."""

    uid: str
    standing_no: str
    object_type: str
    steps: tuple[str, ...]
    written_by: str
    written_on: date
    from_on: date
    waits_for: frozenset[Role]


def standing_to_agree(standing: StandingFacts, role: Role) -> Duty:
    """A standing consent waits for each of its two until it is agreed to, ended or run out."""
    return Duty(
        key=f"standing:{standing.uid}:{role.value}",
        code="standing.agree",
        text=(
            f"Agree to {standing.standing_no}, or end it: {', '.join(standing.steps)}, class "
            f"{standing.object_type}."
        ),
        why=(
            f"{standing.written_by} asks for it from {day_words(standing.from_on)}; until both "
            "have agreed each such step needs a proposal."
        ),
        role=role,
        due_on=standing.from_on,
        asked_on=standing.written_on,
    )
