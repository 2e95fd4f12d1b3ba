"""People on record: their names and dates, roles, deputies, passes and accounts."""

from lifecycle.actions.people.accounts import end_account, open_account, set_password
from lifecycle.actions.people.guests import PassDetails, give_pass, shorten_pass
from lifecycle.actions.people.names import PersonDetails, add_person, change_person, set_letter
from lifecycle.actions.people.posts import end_deputy, end_role, give_role, name_deputy

__all__ = [
    "PassDetails",
    "PersonDetails",
    "add_person",
    "change_person",
    "end_account",
    "end_deputy",
    "end_role",
    "give_pass",
    "give_role",
    "name_deputy",
    "open_account",
    "set_letter",
    "set_password",
    "shorten_pass",
]
