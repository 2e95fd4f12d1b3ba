"""Columns that a package does not tell, each with its reason, and those only some may read."""

from typing import Final

from lifecycle.process.rights import Deed, PersonFacts, may

Columns = frozenset[tuple[str, str]]

#: Never told: (table, column) and the reason, in words for the README of the package.
NEVER: Final = {
    ("Person", "account"): "sign-in accounts and their passwords",
    ("Person", "email"): "mail addresses of people: the record is proved by name, role and date",
    ("Person", "letter_hour"): "when and in which zone somebody wanted their mail",
    ("Person", "zone"): "when and in which zone somebody wanted their mail",
    ("Place", "lock_note"): "how places are locked",
    ("CaseReadiness", "locks"): "how cases are locked",
}
#: Columns that say nothing of the museum's work.
OF_THE_MACHINE: Final = frozenset({("Museum", "only")})
#: Told elsewhere in the package, word for word.
ELSEWHERE: Final = {
    "signed_text": "signed-words",
    "words": "printed-words",
}

LENDER: Final = "lender"
RESTRICTION: Final = "restriction"
#: Told only to those who may read it on screen too.
RESTRICTED: Final = {
    LENDER: {
        ("Organisation", "contact"): "how lenders and others are reached",
        ("Loan", "contact"): "how lenders and others are reached",
        ("Loan", "insurance_reference"): "insurance references",
        ("Loan", "agreement"): "signed loan agreements",
        ("LoanExtension", "document"): "papers on extensions of a loan",
    },
    RESTRICTION: {
        ("MuseumObject", "culturally_restricted"): "why an object is culturally restricted",
    },
}


def seen_by(person: PersonFacts) -> frozenset[str]:
    """Return which restricted matters this person may read: the rule of the pages."""
    seen = set()
    if may(person, Deed.SEE_LENDER):
        seen.add(LENDER)
    if may(person, Deed.EXAMINE) or may(person, Deed.REGISTER):
        seen.add(RESTRICTION)
    return frozenset(seen)


def hidden_from(seen: frozenset[str]) -> Columns:
    """Return every column that a package for somebody who sees these matters leaves out."""
    restricted = (
        column for matter, columns in RESTRICTED.items() if matter not in seen for column in columns
    )
    return frozenset({*NEVER, *OF_THE_MACHINE, *restricted})


def reasons(seen: frozenset[str]) -> list[str]:
    """Return in words what such a package leaves out, for its README."""
    restricted = (
        what
        for matter, columns in RESTRICTED.items()
        if matter not in seen
        for what in columns.values()
    )
    return list(dict.fromkeys([*NEVER.values(), *restricted]))
