"""Answer a request with its figures, put the answer above the rules, or decline."""

from collections.abc import Iterator, Sequence
from datetime import date, datetime

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.moves import lock_showing, make_move
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import Answer
from lifecycle.queries.light import light_check
from lifecycle.queries.light.offers import offers_for
from lifecycle.queries.rights import about_showing, museum_day
from lifecycle.records.models import JournalEntry, Person, RequestAnswer, Showing, Vocabulary, Word

NO_OF_A_KIND = frozenset({Answer.NO, Answer.NO_UNTIL, Answer.FACSIMILE_ONLY})


def _known_grounds(grounds: Sequence[str]) -> list[dict[str, str]]:
    """Return code and label of each ground, so that the answer can be read without the list."""
    words = {
        word.code: word.label
        for word in Word.objects.filter(vocabulary=Vocabulary.GROUND, code__in=list(grounds))
    }
    if strange := sorted(set(grounds) - set(words)):
        raise Refused(
            Reason(f"{', '.join(strange)} is not in the list of grounds.", "grounds", "answer.word")
        )
    return [{"code": code, "label": words[code]} for code in dict.fromkeys(grounds)]


def _faults(
    answer: Answer,
    because: str,
    conditions: str,
    earliest: date | None,
    grounds: Sequence[str],
    today: date,
) -> Iterator[Reason]:
    if not because.strip():
        yield Reason("Say in words why this is the answer.", "because", "answer.because")
    if answer is Answer.YES_WITH_CONDITIONS and not conditions.strip():
        text = "Write down the conditions, or answer yes."
        yield Reason(text, "conditions", "answer.conditions")
    if answer in NO_OF_A_KIND and not grounds:
        yield Reason("Choose at least one ground for the no.", "grounds", "answer.grounds")
    if answer is Answer.NO_UNTIL and earliest is None:
        text = (
            "Nothing computed gives an earliest day here: enter the day, "
            "or answer no without a day."
        )
        yield Reason(text, "earliest", "answer.earliest")
    if answer is Answer.NO_UNTIL and earliest is not None and earliest <= today:
        text = "The earliest day has come already; answer yes, or give a later day."
        yield Reason(text, "earliest", "answer.earliest_past")


def _write(
    *,
    showing: Showing,
    by: Person,
    role: Role,
    at: datetime,
    answer: Answer,
    because: str,
    conditions: str = "",
    earliest: date | None = None,
    grounds: Sequence[str] = (),
    offered: str = "",
    override_reason: str = "",
) -> RequestAnswer:
    """Append the answer with the figures of this moment and everything they came from."""
    check = light_check(showing, at)
    if not offered.strip() and answer in NO_OF_A_KIND:
        offered = " ".join(part for part in (check.offered, *offers_for(showing, at)) if part)
    first = earliest or check.earliest
    if reasons := list(_faults(answer, because, conditions, first, grounds, museum_day(at))):
        raise Refused(reasons)
    return RequestAnswer(
        showing=showing,
        answer=answer.value,
        by=by,
        role=role.value,
        at=at,
        conditions=conditions.strip(),
        earliest=first if answer in NO_OF_A_KIND else None,
        because=because.strip(),
        grounds=_known_grounds(grounds),
        offered=offered.strip(),
        rules_version=check.rules_version,
        inputs=check.inputs,
        override_by=by if override_reason else None,
        override_reason=override_reason,
    ).append()


@transaction.atomic
def answer_request(
    *,
    by: Person,
    role: Role,
    at: datetime,
    showing: Showing,
    answer: Answer,
    because: str,
    conditions: str = "",
    earliest: date | None = None,
    grounds: Sequence[str] = (),
    offered: str = "",
) -> RequestAnswer:
    """Answer a request; the light account's figures of this moment are stored with the answer.

    A later answer is a further row; the last one counts.

    :raises Refused: a no without grounds, conditions without words, an earliest day in the past
    """
    kept = lock_showing(showing.pk)
    allow(by=by, role=role, deed=Deed.EXAMINE, at=at, about=about_showing(kept))
    if kept.stage not in (Stage.SELECTION, Stage.EXAMINATION):
        raise Refused(
            f"{kept.museum_object.object_number} is at {Stage(kept.stage).label}: "
            "the request is answered in selection or examination."
        )
    return _write(
        showing=kept,
        by=by,
        role=role,
        at=at,
        answer=answer,
        because=because,
        conditions=conditions,
        earliest=earliest,
        grounds=grounds,
        offered=offered,
    )


@transaction.atomic
def override_answer(
    *,
    by: Person,
    role: Role,
    at: datetime,
    showing: Showing,
    answer: Answer,
    reason: str,
    conditions: str = "",
) -> RequestAnswer:
    """Put a yes above the light account, by name and with a reason; it stays on the statement.

    :raises NotAllowed: for everybody but the head of collections
    :raises Refused: without a reason, or before a conservator has answered
    """
    kept = lock_showing(showing.pk)
    allow(by=by, role=role, deed=Deed.OVERRIDE, at=at, about=about_showing(kept))
    reasons = []
    if not reason.strip():
        reasons.append(Reason("An override needs its reason.", "reason", "override.reason"))
    if answer in NO_OF_A_KIND:
        reasons.append(Reason("An override says yes.", "answer", "override.answer"))
    if not kept.answers.filter(role=Role.CONSERVATOR.value).exists():
        text = "A conservator answers first; the override stands on that answer."
        reasons.append(Reason(text, code="override.first"))
    if reasons:
        raise Refused(reasons)
    return _write(
        showing=kept,
        by=by,
        role=role,
        at=at,
        answer=answer,
        because=reason,
        conditions=conditions,
        override_reason=reason.strip(),
    )


@transaction.atomic
def decline(
    *,
    by: Person,
    role: Role,
    at: datetime,
    showing: Showing,
    grounds: Sequence[str],
    because: str,
    answer: Answer = Answer.NO,
    earliest: date | None = None,
    offered: str = "",
) -> JournalEntry:
    """End the showing with a no: grounds, earliest day and what was offered stay on record.

    :raises Refused: without grounds or words, or when the stage does not allow it
    """
    kept = lock_showing(showing.pk)
    deed = Deed.CHOOSE if role in (Role.CURATOR, Role.HEAD_OF_COLLECTIONS) else Deed.EXAMINE
    allow(by=by, role=role, deed=deed, at=at, about=about_showing(kept))
    if answer not in NO_OF_A_KIND:
        raise Refused(Reason("A decline is answered with a no.", "answer", "decline.answer"))
    _write(
        showing=kept,
        by=by,
        role=role,
        at=at,
        answer=answer,
        because=because,
        earliest=earliest,
        grounds=grounds,
        offered=offered,
    )
    return make_move(
        showing_id=kept.pk, move="decline", by=by, role=role, at=at, reason=because.strip()
    )
