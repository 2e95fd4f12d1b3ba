"""The states of a mail, letter or message alike, and who may change them.

due → claimed → handed over. Refused before acceptance: due again after a pause. Claimed and never
answered: it stays claimed, and only the steward sends it again or leaves it unsent.
"""

from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import F, Q

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Refused
from lifecycle.actions.work.waking import SEND_LETTER, SEND_MESSAGE, wake, wake_on_commit
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.letters import is_perhaps_not_sent
from lifecycle.records.models.people import Person
from lifecycle.records.models.work import Letter, MailState, Message

AnyMail = Letter | Message

FIRST_PAUSE = timedelta(minutes=5)
LONGEST_PAUSE = timedelta(hours=1)
TASKS: dict[type[Letter | Message], str] = {Letter: SEND_LETTER, Message: SEND_MESSAGE}


def open_to_send(at: datetime) -> Q:
    """Rows that may be sent at this moment: due, or refused with the pause over."""
    return Q(state__in=(MailState.DUE, MailState.REFUSED), next_try_at__lte=at)


def claim(*, mail: AnyMail, subject: str, body: str, worker: str, at: datetime) -> bool:
    """Take a mail for one hand-over, with its text; False when it is no longer to be sent.

    Call it outside any transaction: the claim must be committed before the server is spoken to.
    """
    rows = type(mail).objects.filter(open_to_send(at), pk=mail.pk)
    taken = rows.update(
        state=MailState.CLAIMED,
        subject=subject[:300],
        body=body,
        worker=worker,
        claimed_at=at,
        answer="",
        attempts=F("attempts") + 1,
    )
    if taken:
        mail.refresh_from_db()
    return bool(taken)


def handed_over(*, mail: AnyMail, at: datetime, answer: str) -> bool:
    """Note that the server took the mail."""
    return _end(mail, MailState.HANDED_OVER, at, answer)


def refused(*, mail: AnyMail, at: datetime, answer: str) -> bool:
    """Note the server's refusal; the mail is tried again after a pause that grows."""
    pause = min(FIRST_PAUSE * 2 ** max(mail.attempts - 1, 0), LONGEST_PAUSE)
    held = type(mail).objects.filter(pk=mail.pk, state=MailState.CLAIMED, worker=mail.worker)
    return bool(held.update(state=MailState.REFUSED, answer=answer, next_try_at=at + pause))


def fate_unknown(*, mail: AnyMail, answer: str) -> None:
    """Note why nobody knows whether the server took it; the mail stays claimed."""
    type(mail).objects.filter(pk=mail.pk, state=MailState.CLAIMED).update(answer=answer)


def nothing_to_say(*, mail: Letter, at: datetime) -> bool:
    """Close a letter that would have been empty: no mail is sent for nothing."""
    rows = Letter.objects.filter(open_to_send(at), pk=mail.pk)
    return bool(rows.update(state=MailState.NOTHING_TO_SAY, ended_at=at))


def not_written(*, mail: AnyMail, at: datetime, trouble: str) -> None:
    """Put off a mail whose text could not be made; nothing was claimed, nothing was sent."""
    rows = type(mail).objects.filter(open_to_send(at), pk=mail.pk)
    rows.update(state=MailState.REFUSED, answer=trouble, next_try_at=at + FIRST_PAUSE)


def too_late(*, mail: Letter, at: datetime) -> bool:
    """Leave a letter unsent whose day is over; the next morning's letter says what is due."""
    rows = Letter.objects.filter(open_to_send(at), pk=mail.pk)
    said = mail.answer or "It was never tried."
    return bool(
        rows.update(state=MailState.LEFT_UNSENT, ended_at=at, answer=f"{said} The day is over.")
    )


def _end(mail: AnyMail, state: MailState, at: datetime, answer: str) -> bool:
    held = type(mail).objects.filter(pk=mail.pk, state=MailState.CLAIMED, worker=mail.worker)
    return bool(held.update(state=state, answer=answer, ended_at=at))


@transaction.atomic
def send_again(*, kind: type[AnyMail], uid: str, by: Person, role: Role, at: datetime) -> AnyMail:
    """Send a mail again that was perhaps not sent, or was refused: the steward's decision."""
    mail = _decide(kind=kind, uid=uid, by=by, role=role, at=at)
    mail.state, mail.next_try_at = MailState.DUE, at
    mail.save(update_fields=["state", "next_try_at", "decided_by", "decided_at"])
    wake_on_commit(TASKS[kind], str(mail.uid))
    return mail


@transaction.atomic
def leave_unsent(*, kind: type[AnyMail], uid: str, by: Person, role: Role, at: datetime) -> AnyMail:
    """Close a mail that was perhaps sent, without another try: the steward's decision."""
    mail = _decide(kind=kind, uid=uid, by=by, role=role, at=at)
    mail.state, mail.ended_at = MailState.LEFT_UNSENT, at
    mail.save(update_fields=["state", "ended_at", "decided_by", "decided_at"])
    return mail


def _decide(*, kind: type[AnyMail], uid: str, by: Person, role: Role, at: datetime) -> AnyMail:
    allow(by=by, role=role, deed=Deed.STEWARD, at=at)
    mail = kind.objects.select_for_update().get(uid=uid)
    if mail.state != MailState.REFUSED and not is_perhaps_not_sent(mail, at):
        state = MailState(mail.state).label
        raise Refused(
            f"This mail is {state}. Only a refused mail, or one that was perhaps not sent, "
            "can be sent again or left unsent."
        )
    mail.decided_by, mail.decided_at = by, at
    return mail


def sweep(*, at: datetime) -> int:
    """Wake every mail that may be sent now and whose own message seems to be lost."""
    woken = 0
    for kind, task in TASKS.items():
        rows = kind.objects.filter(open_to_send(at)).order_by("due_at", "pk")
        woken += sum(wake(task, str(uid)) for uid in rows.values_list("uid", flat=True)[:500])
    return woken
