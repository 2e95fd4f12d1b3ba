"""Whether a person has proved, or must still set up, a second step beside the password."""

from dataclasses import dataclass
from datetime import date, timedelta

from allauth.mfa.models import Authenticator

from lifecycle.process.rights import PersonFacts
from lifecycle.queries.rights import museum_day
from lifecycle.records.models import Account, HouseRules, Person
from lifecycle.records.models.rules import SecondFactor


@dataclass(frozen=True, slots=True)
class AtTheDoor:
    """The person of an account, with what the house rules of the day ask of their sign-in."""

    person: Person
    rule: str
    named_roles: frozenset[str]
    grace_days: int
    rule_since: date | None

    def set_up_by(self, facts: PersonFacts, account: Account) -> date | None:
        """Return the last day on which pages open without a second step; None: none is missing.

        The days of grace run from the rule or from the account, whichever is younger. Whether
        there is a device is asked only where the rule asks for one.
        """
        asked = self.rule == SecondFactor.EVERYONE or (
            self.rule == SecondFactor.NAMED_ROLES and bool(self.named_roles & facts.roles)
        )
        if not asked or self.rule_since is None or has_second_factor(self.person):
            return None
        begun = max(self.rule_since, museum_day(account.date_joined))
        return begun + timedelta(days=self.grace_days)


def at_the_door(account: Account, today: date) -> AtTheDoor | None:
    """Read the person of an account and the rule of the day, in two plain queries.

    This stands before every page: one query of both took twice as long to put together.
    """
    person = next(iter(Person.objects.filter(account=account)), None)
    if person is None:
        return None
    rules = HouseRules.objects.filter(valid_from__lte=today).order_by("-version")
    asked = rules.values_list(
        "second_factor", "second_factor_roles", "second_factor_grace_days", "valid_from"
    ).first()
    rule, roles, grace, since = asked or ("", (), 0, None)
    return AtTheDoor(
        person=person,
        rule=rule,
        named_roles=frozenset(roles or ()),
        grace_days=grace,
        rule_since=since,
    )


def has_second_factor(person: Person) -> bool:
    """Whether this person's account has a device for the second step; one query."""
    steps = Authenticator.objects.filter(user=person.account_id, type=Authenticator.Type.TOTP)
    return person.account_id is not None and steps.exists()
