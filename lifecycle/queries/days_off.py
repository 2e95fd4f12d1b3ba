"""The house rules in force, and the days on which the house does not work under them."""

from datetime import date

from lifecycle.records.models.rules import HouseRules


def rules_in_force(today: date) -> HouseRules | None:
    """Return the latest version of the house rules that is valid on this day."""
    return HouseRules.objects.filter(valid_from__lte=today).order_by("-version").first()


def days_off_of(rules: HouseRules | None) -> frozenset[date]:
    """Return the days on which the house does not work under these rules."""
    return frozenset(date.fromisoformat(day) for day, _ in (rules.days_off if rules else ()))


def days_off_on(today: date) -> frozenset[date]:
    """Return the days off under the rules in force on this day; one query."""
    return days_off_of(rules_in_force(today))
