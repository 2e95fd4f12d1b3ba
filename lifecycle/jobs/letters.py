"""Letters and messages: find what is due, write it, claim it, hand it over, note the answer."""

import logging
import os
import socket
import uuid
from datetime import datetime

from celery import shared_task
from django.conf import settings
from django.utils.timezone import now

from lifecycle.actions.work import heartbeats, letters, mail
from lifecycle.jobs.postman import Fate, HouseMail, hand_over
from lifecycle.letters.morning import MailText, morning_letter
from lifecycle.queries.letters import letter_day_over
from lifecycle.queries.morning import morning_of
from lifecycle.records.models.work import Letter, LifeSign, Message

logger = logging.getLogger(__name__)


@shared_task(name="lifecycle.jobs.letters.write_due")
def write_due() -> None:
    """Write the row of every letter whose hour has come."""
    letters.make_due_letters(at=now())


@shared_task(name="lifecycle.jobs.letters.send_letter")
def send_letter(uid: str) -> None:
    """Write, claim and hand over one morning letter; harmless when it comes twice."""
    at = now()
    letter = Letter.objects.filter(mail.open_to_send(at), uid=uid).select_related("person").first()
    if letter is None:
        return
    if letter_day_over(letter, at):
        mail.too_late(mail=letter, at=at)
        return
    try:
        morning = morning_of(person=letter.person, day=letter.day, at=at)
        text = morning_letter(morning, site=settings.SITE_URL)
    except Exception:
        # One person's letter that can't be written must not hold up everybody else's.
        logger.exception("The letter of %s could not be written.", letter.person)
        mail.not_written(
            mail=letter, at=at, trouble="The letter could not be written; see the log."
        )
        return
    if text is None:
        mail.nothing_to_say(mail=letter, at=at)
        return
    _send(letter, text, f"letter.{letter.day}", f"{letter.day}-morning-letter", at)


@shared_task(name="lifecycle.jobs.letters.send_message")
def send_message(uid: str) -> None:
    """Claim and hand over one immediate mail; harmless when it comes twice."""
    at = now()
    rows = Message.objects.filter(mail.open_to_send(at), uid=uid)
    message = rows.select_related("person").first()
    if message is not None:
        name = f"{message.due_at:%Y-%m-%d}-message-{message.uid.hex[:8]}"
        _send(message, MailText(message.subject, message.body), "message", name, at)


def _send(row: Letter | Message, text: MailText, kind: str, name: str, at: datetime) -> None:
    worker = f"{socket.gethostname()[:40]}:{os.getpid()}:{uuid.uuid4().hex[:8]}"
    claimed = mail.claim(mail=row, subject=text.subject, body=text.body, worker=worker, at=at)
    if not claimed:
        return
    address = row.person.email
    domain = settings.DEFAULT_FROM_EMAIL.rpartition("@")[2].strip("> ") or "localhost"
    answer = hand_over(
        HouseMail(
            subject=text.subject,
            body=text.body,
            to=[address],
            headers={
                # From the row's key: a mail that does go out twice can be seen to be the same.
                "Message-ID": f"<{kind}.{row.uid.hex}@{domain}>",
                "Auto-Submitted": "auto-generated",
            },
            name=f"{name}-{address.partition('@')[0]}",
        )
    )
    if answer.fate == Fate.TAKEN:
        mail.handed_over(mail=row, at=now(), answer=answer.said)
        heartbeats.seen(part=LifeSign.MAIL, host=socket.gethostname(), at=now())
    elif answer.fate == Fate.REFUSED:
        mail.refused(mail=row, at=now(), answer=answer.said)
        logger.warning("%s to %s refused: %s", row, row.person, answer.said)
    else:
        mail.fate_unknown(mail=row, answer=answer.said)
        logger.error("%s to %s: fate unknown: %s", row, row.person, answer.said)
