"""What the log never holds: addresses that open an account."""

import logging
import re
from typing import Any, Final

_LINK: Final = re.compile(r"(/account/password/reset/key/)[^/\s\"'?]+")
_CALLBACK: Final = re.compile(r"([?&](?:code|state|id_token|access_token)=)[^&\s\"']+")


def without_links(text: str) -> str:
    """Blank out one-time links and what an identity provider hands back.

    >>> without_links("Not Found: /account/password/reset/key/4-d1x-0a3/")
    'Not Found: /account/password/reset/key/(left out)/'
    >>> without_links("GET /account/identity/?code=abc&state=x 500")
    'GET /account/identity/?code=(left out)&state=(left out) 500'
    """
    return _CALLBACK.sub(r"\1(left out)", _LINK.sub(r"\1(left out)", text))


class NoLinks(logging.Filter):
    """Blanks them out of every line, whoever writes it."""

    def filter(self, record: logging.LogRecord) -> bool:
        if isinstance(record.msg, str):
            record.msg = without_links(record.msg)
        if isinstance(record.args, tuple):
            record.args = tuple(_plain(one) for one in record.args)
        if record.exc_info and not record.exc_text:
            record.exc_text = without_links(logging.Formatter().formatException(record.exc_info))
        return True


def _plain(value: Any) -> Any:
    """Only texts and exceptions can hold an address; numbers keep their formats."""
    return without_links(str(value)) if isinstance(value, str | BaseException) else value
