"""From the name of a page to its address, and whether its door is open to this person.

A page that this museum does not have, or that would answer 403, gives no link.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final
from urllib.parse import quote_plus

from django.urls import NoReverseMatch, reverse

from lifecycle.process.rights import Deed, PersonFacts, SubjectFacts, may
from lifecycle.queries.errands import Errand

_EXAMINE: Final = (Deed.EXAMINE,)
_PREPARE: Final = (Deed.PREPARE,)
_REGISTER: Final = (Deed.REGISTER,)
_HANDLE: Final = (Deed.HANDLE,)
_SCHEDULE: Final = (Deed.SCHEDULE,)
_CHOOSE: Final = (Deed.CHOOSE,)

DOORS: Final[Mapping[str, tuple[Deed, ...]]] = MappingProxyType(
    {
        "request-answer": _EXAMINE,
        "decline": (Deed.EXAMINE, Deed.CHOOSE),
        "assess": _EXAMINE,
        "condition-start": _EXAMINE,
        "proposal-start": (Deed.TREAT,),
        "treatment-report": (Deed.TREAT,),
        "imaging-ask": (Deed.EXAMINE, Deed.CHOOSE),
        "facsimile-ask": (Deed.EXAMINE, Deed.CHOOSE),
        "mount-ask": _EXAMINE,
        "fit-check": _PREPARE,
        "caption": _CHOOSE,
        "plan-place": _SCHEDULE,
        "case-readiness": _PREPARE,
        "light-proof": _EXAMINE,
        "route": (Deed.REGISTER, Deed.HANDLE),
        "hazard-new": (Deed.EXAMINE, Deed.REGISTER),
        "install": _HANDLE,
        "turn": _HANDLE,
        "show-again": _HANDLE,
        "stand-alone": _CHOOSE,
        "request-new": _CHOOSE,
        # Another's showing: whoever may mend that the two are planned apart sees them both.
        "showing": (Deed.CHOOSE, Deed.SCHEDULE),
        "movement-new": _HANDLE,
        "movement-confirm": _HANDLE,
        "take-down": (Deed.PART_A,),
        "part-a": (Deed.PART_A,),
        "part-b": _EXAMINE,
        "incident-new": (Deed.REPORT_EVENT,),
        "send-home": _REGISTER,
        "pass-on": _REGISTER,
        "withdraw": _CHOOSE,
        "appointment-new": _SCHEDULE,
        "appointment-move": _SCHEDULE,
        "reading-take": (Deed.READ_LIGHT,),
        "looks": (Deed.WALK,),
        "look-answer": _EXAMINE,
        "hold": (Deed.EXAMINE, Deed.OVERRIDE),
        "lender-leave": _REGISTER,
        "loan": _REGISTER,
        "loans": _REGISTER,
    }
)
"""The rights that open a page; a page not named here is open to whoever may see the showing."""


def is_open(url_name: str, who: PersonFacts, about: SubjectFacts) -> bool:
    """Whether a page named so would let this person in."""
    deeds = DOORS.get(url_name)
    return deeds is None or any(may(who, deed, about) for deed in deeds)


def href_of(
    errand: Errand | None, who: PersonFacts | None = None, about: SubjectFacts | None = None
) -> str:
    """Return the address of an errand; nothing when the page is not there or is shut to ``who``."""
    if errand is None:
        return ""
    if who is not None and about is not None and not is_open(errand.url_name, who, about):
        return ""
    return address(errand.url_name, errand.url_kwargs, errand.query)


def address(url_name: str, url_kwargs: dict[str, str], query: str = "") -> str:
    """Return the address for a page name, its record and its question, or nothing."""
    try:
        found = reverse(url_name, kwargs=url_kwargs)
    except NoReverseMatch:
        return ""
    return f"{found}?{quote_plus(query, safe='=&-%+')}" if query else found
