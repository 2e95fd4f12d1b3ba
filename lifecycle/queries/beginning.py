"""Before a museum has begun: whether it has, and the code that lets one person begin it.

Whoever starts Showrest on an empty folder sees the code in the terminal; nobody else on the
network does. The web server is told a digest of it alone, and a new start makes a new code.
"""

import hmac
import secrets
from typing import Final

from django.utils.crypto import salted_hmac

from lifecycle.records.base import CODE_ALPHABET, typed_code
from lifecycle.records.models import Museum

GROUPS: Final = 3
LETTERS: Final = 4


def has_begun() -> bool:
    """Whether this installation has its museum, its own or the demo; one query."""
    return Museum.objects.exists()


def make_code() -> str:
    """Twelve letters in three groups, about 59 bits.

    >>> [len(group) for group in make_code().split("-")]
    [4, 4, 4]
    """
    groups = ("".join(secrets.choice(CODE_ALPHABET) for _ in range(LETTERS)) for _ in range(GROUPS))
    return "-".join(groups)


def code_digest(code: str) -> str:
    """The digest of a code as it is typed: case, blanks and look-alikes make no difference."""
    return salted_hmac("showrest.beginning", typed_code(code), algorithm="sha256").hexdigest()


def code_fits(typed: str, digest: str) -> bool:
    """Whether a typed code is the one whose digest this start was told; none fits no digest."""
    return bool(digest) and hmac.compare_digest(code_digest(typed), digest)
