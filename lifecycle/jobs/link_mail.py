"""Mails that hold a one-time link: handed over at once, beside the answer, and kept nowhere.

A row of the mail table would keep a key to an account in plain text. A mail that is lost is asked
for again by the person who waits for it.
"""

import logging
from concurrent.futures import ThreadPoolExecutor
from typing import Final

from django.core.mail import EmailMessage

from lifecycle.jobs.postman import Fate, hand_over

logger = logging.getLogger(__name__)

_HANDS: Final = ThreadPoolExecutor(max_workers=1, thread_name_prefix="link-mail")


def send_soon(mail: EmailMessage) -> None:
    """Hand the mail over in a moment; the caller does not wait and learns nothing."""
    _HANDS.submit(_send, mail)


def all_sent() -> None:
    """Wait until every mail so far was offered to the mail server."""
    _HANDS.submit(int).result(timeout=60)


def _send(mail: EmailMessage) -> None:
    try:
        answer = hand_over(mail)
    except Exception:
        logger.exception("A mail with a one-time link could not be handed over.")
        return
    if answer.fate is not Fate.TAKEN:
        # What the server said may repeat the address; the fate is enough for the log.
        logger.warning("A mail with a one-time link was not taken: %s.", answer.fate)
