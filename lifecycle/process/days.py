"""How a day reads in the sentences of duties, reasons and messages: as on every page.

Written a floor below, since the sentences of light accounts write days too.
"""

from lifecycle.planning.day_words import day_words

__all__ = ["day_words", "in_hand_words"]


def in_hand_words(left: int) -> str:
    """Days in hand in words; fewer than none is said as days planned too many.

    >>> in_hand_words(1), in_hand_words(0), in_hand_words(-5)
    ('1 day in hand', 'no day in hand', 'planned for 5 days more than its light allows')
    """
    days = f"{abs(left)} day{'s' if abs(left) != 1 else ''}"
    if left < 0:
        return f"planned for {days} more than its light allows"
    return f"{days} in hand" if left else "no day in hand"
