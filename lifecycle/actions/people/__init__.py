"""People on record: their names and dates, roles, deputies, passes and accounts."""

from lifecycle.actions.people.accounts import (
    choose_password,
    end_account,
    name_identity,
    open_account,
    ready_for_link,
    reopen_account,
    tie_identity,
)
from lifecycle.actions.people.colleagues import add_colleague
from lifecycle.actions.people.guests import PassDetails, give_pass, shorten_pass
from lifecycle.actions.people.names import PersonDetails, add_person, change_person, set_letter
from lifecycle.actions.people.passing_on import pass_on
from lifecycle.actions.people.posts import end_deputy, end_role, give_role, name_deputy

__all__ = [
    "PassDetails",
    "PersonDetails",
    "add_colleague",
    "add_person",
    "change_person",
    "choose_password",
    "end_account",
    "end_deputy",
    "end_role",
    "give_pass",
    "give_role",
    "name_deputy",
    "name_identity",
    "open_account",
    "pass_on",
    "ready_for_link",
    "reopen_account",
    "set_letter",
    "shorten_pass",
    "tie_identity",
]
