"""Whether a person has proved, or must still set up, a second step beside the password."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from allauth.mfa.models import Authenticator
from django.db.models import Exists, OuterRef, QuerySet, Subquery

from lifecycle.process.rights import PersonFacts
from lifecycle.queries.rights import museum_day
from lifecycle.records.models import Account, HouseRules, Person
from lifecycle.records.models.rules import SecondFactor


@dataclass(frozen=True, slots=True)
class AtTheDoor:
    """The person of an account, with what the house rules of the day ask of their sign-in."""

    person: Person
    has_second_factor: bool
    rule: str
    named_roles: frozenset[str]
    grace_days: int
    rule_since: date | None

    def set_up_by(self, facts: PersonFacts, account: Account) -> date | None:
        """Return the last day on which pages open without a second step; None: none is missing.

        The days of grace run from the rule or from the account, whichever is younger.
        """
        asked = self.rule == SecondFactor.EVERYONE or (
            self.rule == SecondFactor.NAMED_ROLES and bool(self.named_roles & facts.roles)
        )
        if not asked or self.has_second_factor or self.rule_since is None:
            return None
        begun = max(self.rule_since, museum_day(account.date_joined))
        return begun + timedelta(days=self.grace_days)


def at_the_door(account: Account, today: date) -> AtTheDoor | None:
    """Read the person of an account and the rule of the day, in one query."""
    rules: QuerySet[HouseRules, Any] = HouseRules.objects.filter(valid_from__lte=today)
    rules = rules.order_by("-version")
    steps = Authenticator.objects.filter(user=OuterRef("account"), type=Authenticator.Type.TOTP)
    row: Any = (
        Person.objects.filter(account=account)
        .annotate(
            has_step=Exists(steps),
            rule=Subquery(rules.values("second_factor")[:1]),
            rule_roles=Subquery(rules.values("second_factor_roles")[:1]),
            rule_grace=Subquery(rules.values("second_factor_grace_days")[:1]),
            rule_since=Subquery(rules.values("valid_from")[:1]),
        )
        .first()
    )
    if row is None:
        return None
    return AtTheDoor(
        person=row,
        has_second_factor=row.has_step,
        rule=row.rule or "",
        named_roles=frozenset(row.rule_roles or ()),
        grace_days=row.rule_grace or 0,
        rule_since=row.rule_since,
    )


def has_second_factor(person: Person) -> bool:
    """Whether this person's account has a device for the second step; one query."""
    steps = Authenticator.objects.filter(user=person.account_id, type=Authenticator.Type.TOTP)
    return person.account_id is not None and steps.exists()
