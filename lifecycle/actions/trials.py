"""Wrong tries are counted for each account, so that nobody guesses a password at a form.

The count stands in the cache that all processes of the machine share, and is gone after a while:
the right person is never locked out for ever.
"""

import hashlib
from typing import Final

from django.core.cache import cache

MOST: Final = 20
WITHIN_S: Final = 15 * 60


def _key(kind: str, name: str) -> str:
    return f"trials:{kind}:{hashlib.sha256(name.encode()).hexdigest()}"


def too_many(kind: str, name: str) -> bool:
    """Whether wrong tries of this kind for this name have used up their number."""
    return int(cache.get(_key(kind, name), 0)) >= MOST


def count_wrong(kind: str, name: str) -> None:
    """Count one wrong try; the first begins the quarter of an hour."""
    key = _key(kind, name)
    if not cache.add(key, 1, timeout=WITHIN_S):
        try:
            cache.incr(key)
        except ValueError:  # it ran out in this very moment
            cache.add(key, 1, timeout=WITHIN_S)
