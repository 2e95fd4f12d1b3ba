"""Builders for the records everything rests on: typed, with plain defaults only."""

from datetime import UTC, date, datetime, timedelta
from itertools import count
from typing import Any

from lifecycle.process.stages import Role
from lifecycle.process.words import FaceKind, PlaceKind
from lifecycle.records.models import (
    Account,
    ClassRule,
    Exhibition,
    Face,
    HouseRules,
    Museum,
    MuseumObject,
    Person,
    Place,
    RoleAssignment,
    SensitivityClass,
    Showing,
    Vocabulary,
    Word,
)

DAY = date(2026, 6, 2)
AT = datetime(2026, 6, 2, 9, 0, tzinfo=UTC)
_numbers = count(1)


def kept_by() -> dict[str, Any]:
    """The signature of rows that a test starts from."""
    return {"by": None, "role": "", "why": "Set up for a test.", "at": AT}


def make_museum(**values: Any) -> Museum:
    found = Museum.objects.first()
    if found is not None:
        return found
    values.setdefault("name", "Hollinshire County Museum")
    values.setdefault("zone", "Europe/London")
    return Museum(**values).keep(**kept_by())


def make_person(*roles: Role, name: str = "", account: bool = True, **values: Any) -> Person:
    """A person holding the roles since a year before ``DAY``, with an account to sign in with."""
    number = next(_numbers)
    name = name or f"{(roles[0].label if roles else 'Person').title()} Number {number}"
    if account:
        values.setdefault(
            "account",
            Account.objects.create_user(username=f"person{number}", password="long enough 42"),
        )
    values.setdefault("email", f"person{number}@hollinshire.example")
    person = Person(full_name=name, **values).keep(**kept_by())
    for role in roles:
        RoleAssignment(person=person, role=role, from_on=DAY - timedelta(days=365)).keep(
            **kept_by()
        )
    return person


def make_word(vocabulary: Vocabulary, code: str, label: str = "") -> Word:
    found = Word.objects.filter(vocabulary=vocabulary, code=code).first()
    if found is not None:
        return found
    label = label or code.replace("-", " ")
    return Word(vocabulary=vocabulary, code=code, label=label).keep(**kept_by())


def make_class(code: str = "high", **rule: Any) -> SensitivityClass:
    """A sensitivity class with its rule in house rules v3 (the demo museum's figures)."""
    found = SensitivityClass.objects.filter(code=code).first()
    if found is not None:
        return found
    rules = HouseRules.objects.filter(version=3).first() or HouseRules(
        version=3, source="Invented for the tests.", valid_from=date(2020, 1, 1)
    ).keep(**kept_by())
    made = SensitivityClass(code=code, label=code.title()).keep(**kept_by())
    rule.setdefault("max_lux", 50)
    rule.setdefault("allowance_lx_h", 75_000)
    rule.setdefault("window_years", 5)
    rule.setdefault("rest_months", 36)
    rule.setdefault("max_uv", 10)
    ClassRule(house_rules=rules, sensitivity_class=made, **rule).keep(**kept_by())
    return made


def make_place(name: str = "", kind: PlaceKind = PlaceKind.POSITION, **values: Any) -> Place:
    name = name or f"{kind.label} {next(_numbers)}"
    return Place(name=name, kind=kind, **values).keep(**kept_by())


def make_object(**values: Any) -> MuseumObject:
    number = next(_numbers)
    values.setdefault("object_number", f"HCM.2000.{number}")
    values.setdefault("title", f"Sheet {number}")
    values.setdefault("object_type", make_word(Vocabulary.OBJECT_TYPE, "single-sheet"))
    values.setdefault("sensitivity_class", make_class())
    values.setdefault("class_basis", "By material list.")
    if "normal_location" not in values:
        values["normal_location"] = make_place(kind=PlaceKind.SHELF)
    values.setdefault("current_location", values["normal_location"])
    return MuseumObject(**values).keep(**kept_by())


def make_face(museum_object: MuseumObject | None = None, **values: Any) -> Face:
    values.setdefault("kind", FaceKind.RECTO)
    values.setdefault("label", f"face {next(_numbers)}")
    values.setdefault("landmark", "A tree at top left")
    return Face(museum_object=museum_object or make_object(), **values).keep(**kept_by())


def make_exhibition(**values: Any) -> Exhibition:
    values.setdefault("short", f"X{next(_numbers)}")
    values.setdefault("title", "Rain by Noon: three centuries of watching the weather")
    values.setdefault("install_from", date(2026, 3, 2))
    values.setdefault("opens", date(2026, 3, 14))
    values.setdefault("closes", date(2026, 9, 6))
    values.setdefault("deinstall_until", date(2026, 9, 18))
    values.setdefault("closed_weekdays", [0])
    return Exhibition(**values).keep(**kept_by())


def make_showing(**values: Any) -> Showing:
    """A bare row at selection; walk it onward with the real actions, never by hand."""
    values.setdefault("request_no", f"RQ-{next(_numbers):04d}")
    if "exhibition" not in values:
        values["exhibition"] = make_exhibition()
    if "museum_object" not in values:
        values["museum_object"] = make_object()
    if "asked_by" not in values:
        values["asked_by"] = make_person(Role.CURATOR)
    values.setdefault("asked_at", AT)
    values.setdefault("reason", "It shows how the weather was watched.")
    values.setdefault("show_from", values["exhibition"].opens)
    values.setdefault("show_to", values["exhibition"].closes)
    return Showing(**values).keep(**kept_by())
