"""What stands around every page: the museum's name and which subjects are in use."""

from dataclasses import dataclass

from django.db.models import Exists

from lifecycle.records.models import Instrument, Loan, Museum, SensitivityClass


@dataclass(frozen=True, slots=True)
class House:
    """The museum as the header needs it."""

    name: str
    is_demo: bool
    zone: str
    used: frozenset[str]


def house() -> House:
    """Read the museum and the subjects in use, in one query.

    A subject is in use once the museum has its instrument, class or loan on record.
    """
    museum = Museum.objects.annotate(
        has_loans=Exists(Loan.objects.all()),
        has_instruments=Exists(Instrument.objects.all()),
        has_classes=Exists(SensitivityClass.objects.all()),
    ).first()
    if museum is None:
        return House(name="Showrest", is_demo=False, zone="UTC", used=frozenset())
    in_use = {
        "loans": museum.has_loans,
        "light": museum.has_instruments or museum.has_classes,
    }
    return House(
        name=museum.name,
        is_demo=museum.is_demo,
        zone=museum.zone,
        used=frozenset(subject for subject, used in in_use.items() if used),
    )
