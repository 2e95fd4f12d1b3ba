"""The first steps of a museum of its own: what is there already, and what comes next.

Nothing of this is stored: a step is done once the museum has what it asks for.
"""

from dataclasses import dataclass
from datetime import date

from django.db.models import Exists, F, OuterRef, Q

from lifecycle.process.rights import Deed
from lifecycle.process.words import PlaceKind
from lifecycle.records.models import (
    Account,
    Exhibition,
    HouseRules,
    LitTimetable,
    Museum,
    MuseumObject,
    Place,
    TakeOver,
)
from lifecycle.records.models.work import Work, WorkKind


@dataclass(frozen=True, slots=True)
class FirstStep:
    """One step: what, why, where it is done, and which right it takes."""

    label: str
    why: str
    route: str
    deed: Deed
    done: bool


def first_steps(day: date) -> tuple[FirstStep, ...]:
    """Return the steps of a museum that is not the demo, in one query; none before it began."""
    rules = HouseRules.objects.filter(valid_from__lte=day)
    running = rules.filter(taking_over_until__gte=day, version=F("version"))
    newer = HouseRules.objects.filter(valid_from__lte=day, version__gt=OuterRef("version"))
    has = (
        Museum.objects.filter(is_demo=False)
        .annotate(
            has_accounts=Exists(Account.objects.filter(is_active=True)[1:]),
            has_places=Exists(Place.objects.filter(kind__in=_SHOWN)),
            has_stores=Exists(Place.objects.filter(kind__in=_KEPT)),
            has_timetables=Exists(LitTimetable.objects.all()),
            has_rules=Exists(rules.filter(classes__isnull=False)),
            has_objects=Exists(MuseumObject.objects.all()),
            has_exhibitions=Exists(Exhibition.objects.all()),
            taken_over=Exists(TakeOver.objects.all()),
            backed_up=Exists(Work.objects.filter(kind=WorkKind.BACKUP, results__proven=True)),
            taking_over_runs=Exists(running.filter(~Q(Exists(newer)))),
        )
        .values()
        .first()
    )
    if has is None:
        return ()
    return (
        FirstStep(
            "Accounts for colleagues",
            "Each signs with their own name; roles say who may do what.",
            "people",
            Deed.STEWARD,
            has["has_accounts"],
        ),
        FirstStep(
            "A lit timetable",
            "When the lamps are on: light is counted from real hours.",
            "timetables",
            Deed.STEWARD,
            has["has_timetables"],
        ),
        FirstStep(
            "Places",
            "Rooms and cases with their lit hours, to show objects; stores where they rest.",
            "places",
            Deed.STEWARD,
            has["has_places"] and has["has_stores"],
        ),
        FirstStep(
            "House rules",
            "The museum's own limits of light and rest, its classes of objects, and until when "
            "running exhibitions may be taken over.",
            "house-rules",
            Deed.OVERRIDE,
            has["has_rules"],
        ),
        FirstStep(
            "Objects",
            "With their faces, sizes, hazards and usual place, from a table or one by one.",
            "objects-bring-in",
            Deed.STEWARD,
            has["has_objects"],
        ),
        FirstStep(
            "Exhibitions",
            "Dates, galleries, who curates and who manages.",
            "exhibitions",
            Deed.REGISTER,
            has["has_exhibitions"],
        ),
        FirstStep(
            "Taking over",
            "What hangs already comes in with its gaps named. Done, too, once house rules are in "
            "force and their taking-over period is over.",
            "exhibitions",
            Deed.REGISTER,
            has["taken_over"] or (has["has_rules"] and not has["taking_over_runs"]),
        ),
        FirstStep(
            "A proven backup",
            "Made each night by itself; the first can be made now. It is restored elsewhere and "
            "compared before it counts.",
            "steward",
            Deed.STEWARD,
            has["backed_up"],
        ),
    )


_SHOWN = (PlaceKind.ROOM, PlaceKind.CASE, PlaceKind.POSITION)
_KEPT = (PlaceKind.STORE, PlaceKind.BAY, PlaceKind.SHELF)
