"""Everything that is read about light: accounts, checks of showings, what is due, looks."""

from lifecycle.planning.again import NextAllowed
from lifecycle.queries.light.accounts import (
    FaceAccount,
    LuxHours,
    RestingAnswer,
    account_of,
    accounts_of,
    next_allowed_for,
    rest_kept,
    rest_of_showing,
    resting_of,
)
from lifecycle.queries.light.checks import FaceCheck, LightCheck, light_check, light_of
from lifecycle.queries.light.pages import LightOnObject, LightOnShowing, on_object, on_showing
from lifecycle.queries.light.watching import (
    CaseCeiling,
    CaseDue,
    LookLine,
    ObjectDue,
    case_ceiling,
    looks_of,
    walk,
)

__all__ = [
    "CaseCeiling",
    "CaseDue",
    "FaceAccount",
    "FaceCheck",
    "LightCheck",
    "LightOnObject",
    "LightOnShowing",
    "LookLine",
    "LuxHours",
    "NextAllowed",
    "ObjectDue",
    "RestingAnswer",
    "account_of",
    "accounts_of",
    "case_ceiling",
    "light_check",
    "light_of",
    "looks_of",
    "next_allowed_for",
    "on_object",
    "on_showing",
    "rest_kept",
    "rest_of_showing",
    "resting_of",
    "walk",
]
