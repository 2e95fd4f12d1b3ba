"""Numbers and names in the order a person reads them: plate 2 before plate 10."""

import re
from typing import Final

_DIGITS: Final = re.compile(r"(\d+)")


def reading_order(number: str) -> tuple[tuple[int, int, str], ...]:
    """Return the key that sorts an object number or a name by its parts, digits by their value.

    >>> sorted(["HCM.1922.7.10", "HCM.1922.7.2", "HCM.M.88"], key=reading_order)
    ['HCM.1922.7.2', 'HCM.1922.7.10', 'HCM.M.88']
    """
    parts = (part for part in _DIGITS.split(number) if part)
    return tuple(
        (0, int(part), part) if part.isdecimal() else (1, 0, part.casefold()) for part in parts
    )
