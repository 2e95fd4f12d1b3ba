"""Which doors of an account are open: by password, or through the house's single sign-on alone."""

from datetime import datetime

from django.conf import settings
from django.db.models import QuerySet

from lifecycle.process.rights import Deed, may
from lifecycle.queries.rights import museum_day, person_facts
from lifecycle.queries.rules import version_in_force
from lifecycle.records.models import Account, Person


def single_sign_on_only(at: datetime) -> bool:
    """Whether the house rules in force close the door of passwords; never without a provider."""
    if not settings.SSO:
        return False
    rules = version_in_force(museum_day(at))
    return rules is not None and rules.single_sign_on_only


def password_opens(account: Account, at: datetime) -> bool:
    """Whether this account may come in by password today.

    The steward always may: a provider that fails must not lock the museum out of its own house.
    """
    if not single_sign_on_only(at):
        return True
    person = Person.objects.filter(account=account).first()
    return person is not None and may(person_facts(person, at), Deed.STEWARD)


def accounts_by_mail(address: str, at: datetime) -> list[Account]:
    """Return the open accounts of people with this mail address on record, ten at most."""
    people: QuerySet[Person] = Person.objects.filter(
        email__iexact=address.strip(), account__is_active=True
    )
    today = museum_day(at)
    found = people.select_related("account").order_by("pk")[:10]
    return [
        person.account
        for person in found
        if person.account is not None and (person.ends_on is None or person.ends_on >= today)
    ]
