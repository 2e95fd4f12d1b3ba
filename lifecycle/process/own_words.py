"""The words this house uses in its own sense, for the handbook and the help page alike."""

from typing import Final

OWN_WORDS: Final = (
    (
        "showing",
        "one object's whole trip for one exhibition, from the request until it is back at rest",
    ),
    (
        "face",
        "the side, opening or part that can be turned to the visitor; it is what collects light",
    ),
    (
        "stage",
        "where the object stands on that trip; a showing has exactly one, changed only by a move",
    ),
    (
        "move",
        "a step from one stage to another, made by a person in a role, written into the journal",
    ),
    ("gate", "a state of affairs a move needs; a gate that is not met yields its reasons in words"),
    (
        "blocker",
        "one such reason: a stable code, a sentence, the role that can mend it, what it is about",
    ),
    ("waiver", "a named person's written word that one gate need not be met, until a day"),
    (
        "hold",
        "a stop that lies on the object, follows it into its next showing and ends with a "
        "written decision",
    ),
    (
        "light account",
        "what light a face has had and may still have: allowance, spent, booked, left, in lx·h",
    ),
    ("last day", "the latest day a face may stay up, in the light it gets and under its loan"),
    ("days in hand", "the days between the last day and the planned end"),
    (
        "resting until",
        "the day before which a face may not be shown again, stored with the inputs it came from",
    ),
    (
        "feature",
        "a lasting mark or damage with a number that stays for the object's life; an "
        "observation is its row in one report",
    ),
    (
        "part A, part B",
        "the look as found at the case before anything is moved; the look at the bench "
        "against an earlier report",
    ),
    ("display period", "one face of one object in one place, from a minute to a minute"),
    ("appointment", "a planned install, turn, swap or de-install: day, place, two named people"),
    (
        "print",
        "one printed copy of a paper, with its number, version and digest; it is out until "
        "read back, lost or void",
    ),
    (
        "short code",
        "seven letters on every paper and label that lead back to the record when they are typed",
    ),
    ("morning letter", "one mail per person and day with only what is theirs"),
    (
        "because line",
        "the sentence beside a computed figure that says which rule and which inputs made it",
    ),
)
"""Word and meaning, in the order in which a newcomer meets them."""
