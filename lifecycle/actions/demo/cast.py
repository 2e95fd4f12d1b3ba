"""The demo's people, places and rules, by the keys its fixtures use."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time
from functools import cache, partial
from typing import Any
from zoneinfo import ZoneInfo

from django.contrib.auth.hashers import check_password, make_password

from lifecycle.actions.signing import Hand, with_account
from lifecycle.exchange.demo_data import DemoData
from lifecycle.process.stages import Role
from lifecycle.process.words import PlaceKind
from lifecycle.records.models import (
    Account,
    ClassRule,
    HouseRules,
    Instrument,
    LitSpan,
    LitTimetable,
    Material,
    Organisation,
    Person,
    Place,
    ReadingPoint,
    RoleAssignment,
    SensitivityClass,
)

SINCE = date(2015, 1, 5)
WHY = "The demo museum is set up."


@dataclass(kw_only=True)
class Cast:
    """Who and what the trips name; ``at`` is the moment the records were set up."""

    data: DemoData
    at: datetime
    zone: ZoneInfo
    organisations: dict[str, Organisation] = field(default_factory=dict)
    people: dict[str, Person] = field(default_factory=dict)
    timetables: dict[str, LitTimetable] = field(default_factory=dict)
    places: dict[str, Place] = field(default_factory=dict)
    classes: dict[str, SensitivityClass] = field(default_factory=dict)
    instruments: dict[str, Instrument] = field(default_factory=dict)
    roles: dict[str, Role] = field(default_factory=dict)
    stock: dict[str, Material] = field(default_factory=dict)
    solid: frozenset[str] = frozenset({"HCM.1899.2", "HCM.1960.18"})
    """Objects of the objects laboratory; the rest belong to the paper laboratory."""
    drawings: dict[int, tuple[str, int | None]] = field(default_factory=dict)
    """Which drawing, and which number of a series, shows the face with this id."""

    def __post_init__(self) -> None:
        # Made and tried once for all: each time takes a quarter of a second of processor.
        self.password = make_password(self.data.people["password"])
        self.opens = cache(partial(check_password, encoded=self.password))

    def kept(self) -> dict[str, Any]:
        return {"by": None, "role": "", "why": WHY, "at": self.at}

    def key_of(self, place: Place) -> str:
        return next(key for key, known in self.places.items() if known.pk == place.pk)

    def role_of(self, key: str) -> Role:
        return self.roles[key]

    def hand(self, key: str) -> Hand:
        """The person signs with the demo's common password."""
        return with_account(
            person=self.people[key], role=self.roles[key], password=self.data.people["password"]
        )

    def acting(self, key: str, at: datetime) -> dict[str, Any]:
        return {"by": self.people[key], "role": self.roles[key], "at": at}

    def moment(self, on: date, hour: int, minute: int = 0) -> datetime:
        """A local time of the museum as an instant."""
        return datetime.combine(on, time(hour, minute), tzinfo=self.zone)


def set_up_cast(cast: Cast) -> None:
    """Write organisations, people with accounts and roles, timetables, places, rules."""
    for row in cast.data.people["organisations"]:
        cast.organisations[row["key"]] = Organisation(
            name=row["name"], kind=row["kind"], contact=row["contact"]
        ).keep(**cast.kept())
    for row in cast.data.places["timetables"]:
        _timetable(cast, row)
    for row in cast.data.places["places"]:
        _place(cast, row, None)
    for row in cast.data.people["people"]:
        _person(cast, row)
    _rules(cast)
    for row in cast.data.places["instruments"]:
        values = {name: value for name, value in row.items() if name != "key"}
        cast.instruments[row["key"]] = Instrument(**values).keep(**cast.kept())


def _timetable(cast: Cast, row: Mapping[str, Any]) -> None:
    timetable = LitTimetable(name=row["name"], source=row["source"]).keep(**cast.kept())
    for span in row["spans"]:
        for weekday in span["weekdays"]:
            LitSpan(
                timetable=timetable,
                weekday=weekday,
                purpose=span["purpose"],
                starts=time.fromisoformat(span["starts"]),
                ends=time.fromisoformat(span["ends"]),
            ).keep(**cast.kept())
    cast.timetables[row["key"]] = timetable


def _place(cast: Cast, row: Mapping[str, Any], parent: Place | None) -> None:
    place = Place(
        name=row["name"],
        kind=row["kind"],
        parent=parent,
        public=row.get("public", False),
        timetable=cast.timetables.get(row.get("timetable", "")),
        organisation=cast.organisations.get(row.get("organisation", "")),
    ).keep(**cast.kept())
    cast.places[row.get("key", row["name"])] = place
    for letter in row.get("positions", ()):
        position = Place(
            name=f"{row['name']}{letter}",
            kind=PlaceKind.POSITION,
            parent=place,
            public=True,
            timetable=place.timetable,
        ).keep(**cast.kept())
        cast.places[f"{row['name']}/{letter}"] = position
        ReadingPoint(
            place=position, letter=letter.upper(), label="At the object, sensor level with it"
        ).keep(**cast.kept())
    for name in row.get("shelves", ()):
        shelf = Place(name=name, kind=PlaceKind.SHELF, parent=place).keep(**cast.kept())
        cast.places[name] = shelf
    for child in row.get("children", ()):
        _place(cast, child, place)


def _person(cast: Cast, row: Mapping[str, Any]) -> None:
    """One click signs a demo person in; the common password is asked again when they sign."""
    account = Account.objects.create(username=row["key"], password=cast.password)
    person = Person(
        full_name=row["name"],
        account=account,
        organisation=cast.organisations.get(row.get("organisation", "")),
        email=f"{row['key']}@hollinshire.example",
        ends_on=row.get("ends_on"),
    ).keep(**cast.kept())
    for role in row["roles"]:
        assignment = RoleAssignment(
            person=person,
            role=Role(role),
            from_on=SINCE,
            until_on=row.get("ends_on"),
            trained=row.get("trained", False),
        ).keep(**cast.kept())
        assignment.put_lists(galleries=[cast.places[key] for key in row.get("galleries", ())])
        assignment.keep(**cast.kept())
    account.check_password = cast.opens  # type: ignore[method-assign]
    cast.people[row["key"]] = person
    if row["roles"]:
        cast.roles[row["key"]] = Role(row["roles"][0])


def _rules(cast: Cast) -> None:
    row = cast.data.rules
    rules = HouseRules(
        version=row["version"],
        source=row["source"],
        approved_by=cast.people[row["approved_by"]],
        approved_on=row["approved_on"],
        valid_from=row["valid_from"],
        taking_over_until=row["taking_over_until"],
    ).keep(**cast.kept())
    for one in row["classes"]:
        made = SensitivityClass(
            code=one["code"], label=one["label"], definition=one["definition"]
        ).keep(**cast.kept())
        limits = {
            name: value
            for name, value in one.items()
            if name not in {"code", "label", "definition"}
        }
        ClassRule(house_rules=rules, sensitivity_class=made, source=row["source"], **limits).keep(
            **cast.kept()
        )
        cast.classes[one["code"]] = made
