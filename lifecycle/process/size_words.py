"""A size that somebody typed, read as height and width in millimetres."""

import re
from decimal import Decimal
from typing import Final

MOST_MM: Final = Decimal(100_000)
_NUMBER: Final = r"([-−]?\d+(?:[.,]\d+)?)"
_SIZE: Final = re.compile(rf"\s*{_NUMBER}\s*[x×*]\s*{_NUMBER}\s*(?:mm)?\s*", re.IGNORECASE)


def size_words(text: str) -> str:
    """Return a typed size as it is kept: height × width in millimetres; nothing stays nothing.

    :raises ValueError: with a sentence, if it is no size or one of its sides can't be true

    >>> size_words("210x297 mm")
    '210 × 297'
    """
    if not text.strip():
        return ""
    found = _SIZE.fullmatch(text)
    if found is None:
        raise ValueError("Write height and width in millimetres, as 210 × 297.")
    sides = [Decimal(part.replace(",", ".").replace("−", "-")) for part in found.groups()]
    if min(sides) <= 0:
        raise ValueError("A side is longer than nothing.")
    if max(sides) > MOST_MM:
        raise ValueError("A side of more than 100 m is no picture: check the unit.")
    return " × ".join(f"{side.normalize():f}" for side in sides)
