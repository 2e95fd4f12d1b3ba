"""What the record of light and air refuses, each for one reason alone, and whom."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from lifecycle.actions.light import (
    InstrumentDetails,
    add_instrument,
    change_instrument,
    charge_light,
    correct_entry,
    correct_reading,
    enter_past_light,
    read_climate,
    report_light_event,
)
from lifecycle.actions.light.past_list import enter_past_list
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.planning.ledger import EntryKind
from lifecycle.process.stages import Role
from lifecycle.process.words import Certainty
from lifecycle.records.models import Face, LightEntry, LightReading, Person, Place
from lifecycle.records.models.light import ChangeOfLight, InstrumentKind
from tests.actions.test_light_readings import reading
from tests.actions.test_past_light_list import lines_of, row
from tests.builders.core import (
    AT,
    make_face,
    make_museum,
    make_object,
    make_person,
    make_place,
    make_showing,
)
from tests.builders.light import make_case, make_meter

pytestmark = pytest.mark.django_db
HOUR, MINUTE = timedelta(hours=1), timedelta(minutes=1)
NAN = Decimal("NaN")


@pytest.fixture(autouse=True)
def _museum() -> None:
    make_museum()


@pytest.fixture
def marit() -> Person:
    return make_person(Role.CONSERVATOR)


@pytest.fixture
def case() -> Place:
    return make_case()


def fields(attempt: Callable[[], object]) -> list[str]:
    """The fields of every reason the attempt is refused for."""
    with pytest.raises(Refused) as refused:
        attempt()
    return [reason.field for reason in refused.value.reasons]


def past(by: Person, face: Face, **values: Any) -> LightEntry:
    said: dict[str, Any] = {
        "from_at": AT - 9 * HOUR,
        "until_at": AT - HOUR,
        "low": Decimal(1),
        "likely": Decimal(2),
        "high": Decimal(3),
        "basis": "50 lx by the lamps of the time",
        "source": "file note 1998",
    }
    return enter_past_light(by=by, role=Role.CONSERVATOR, at=AT, face=face, **(said | values))


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ({"high": Decimal(10) ** 10}, ["high"]),
        ({"until_at": AT - 10 * HOUR}, ["until_at"]),
        ({"from_at": AT + MINUTE, "until_at": AT + MINUTE}, ["until_at"]),
        ({"until_at": AT + 6 * MINUTE}, ["until_at"]),
    ],
)
def test_past_light_that_cannot_be_is_not_entered(
    marit: Person, said: dict[str, Any], expected: list[str]
) -> None:
    assert fields(lambda: past(marit, make_face(), **said)) == expected


def charge(by: Person, **values: Any) -> LightEntry:
    said: dict[str, Any] = {
        "role": Role.CONSERVATOR,
        "face": make_face(),
        "kind": EntryKind.EXAMINATION,
        "from_at": AT - HOUR,
        "until_at": AT - HOUR / 2,
        "lux": Decimal(500),
        "minutes": 30,
        "basis": "Looked at in raking light",
    }
    return charge_light(by=by, at=AT, **(said | values))


def test_lab_light_says_what_it_was_for_and_is_no_estimate(marit: Person) -> None:
    assert fields(lambda: charge(marit, basis=" ")) == ["basis"]
    assert fields(lambda: charge(marit, kind=EntryKind.ESTIMATE)) == ["kind"]
    assert fields(lambda: charge(marit, until_at=AT - 2 * HOUR)) == ["until_at"]
    assert not LightEntry.objects.exists()


def correct(by: Person, entry: LightEntry, **values: Any) -> LightEntry:
    said: dict[str, Any] = {
        "role": Role.CONSERVATOR,
        "low": Decimal(1),
        "likely": Decimal(1),
        "high": Decimal(1),
        "why": "Another object's file.",
    }
    return correct_entry(by=by, at=AT, entry=entry, **(said | values))


def test_an_entry_is_corrected_once_with_a_reason_and_by_who_may(marit: Person) -> None:
    entry = past(marit, make_face())
    with pytest.raises(NotAllowed):
        correct(make_person(Role.CURATOR), entry, role=Role.CURATOR)
    assert fields(lambda: correct(marit, entry, why=" ")) == ["why"]
    assert fields(lambda: correct(marit, entry, low=Decimal(2))) == ["likely"]
    correct(marit, entry)
    assert fields(lambda: correct(marit, entry)) == ["likely"]
    assert LightEntry.objects.count() == 2


def test_who_may_not_examine_or_prepare_charges_no_light(marit: Person) -> None:
    curator: dict[str, Any] = {"by": make_person(Role.CURATOR), "role": Role.CURATOR}
    for kind in (EntryKind.EXAMINATION, EntryKind.IMAGING):
        with pytest.raises(NotAllowed):
            charge(kind=kind, **curator)
    photographer = make_person(Role.PHOTOGRAPHER)
    with pytest.raises(NotAllowed):
        charge(photographer, role=Role.PHOTOGRAPHER)


def test_a_table_of_past_light_says_which_line_the_account_refuses(marit: Person) -> None:
    make_face(make_object(object_number="HCM.M.88"), label="recto")
    good, wrong = lines_of(row(), row(From="1998-03-03"))
    bright = replace(wrong, lux_high=Decimal(10) ** 10)
    with pytest.raises(Refused, match=f"^Line {wrong.number}: That is more light than the sun"):
        enter_past_list(by=marit, role=Role.CONSERVATOR, at=AT, lines=[good, bright])


def air(by: Person, place: Place, **values: Any) -> object:
    said: dict[str, Any] = {
        "role": Role.CONSERVATOR,
        "t_c": Decimal(19),
        "rh": Decimal(48),
        "read_at": AT,
    }
    return read_climate(by=by, at=AT, place=place, **(said | values))


def test_air_is_read_by_now_with_a_meter_for_air_by_those_who_walk(
    marit: Person, case: Place
) -> None:
    assert fields(lambda: air(marit, case, read_at=AT + MINUTE)) == ["read_at"]
    assert fields(lambda: air(marit, case, instrument=make_meter())) == ["instrument"]
    assert fields(lambda: air(marit, case, t_c=NAN)) == ["t_c"]
    assert fields(lambda: air(marit, case, rh=NAN)) == ["rh"]
    with pytest.raises(NotAllowed):
        air(make_person(Role.STEWARD), case, role=Role.STEWARD)


def test_an_event_lies_in_the_past_at_both_ends_and_is_told_by_who_may(
    marit: Person, case: Place
) -> None:
    def event(by: Person, role: Role = Role.CONSERVATOR, **span: Any) -> object:
        return report_light_event(
            by=by,
            role=role,
            at=AT,
            place=case,
            what=ChangeOfLight.LAMP_REPLACED,
            certainty=Certainty.BETWEEN,
            **span,
        )

    assert fields(lambda: event(marit, from_at=AT - HOUR, until_at=AT + MINUTE)) == ["from_at"]
    assert fields(lambda: event(marit, from_at=AT + MINUTE, until_at=AT)) == [
        "until_at",
        "from_at",
    ]
    with pytest.raises(NotAllowed):
        event(make_person(Role.COURIER), Role.COURIER, from_at=AT - HOUR)


METER = InstrumentDetails(kind=InstrumentKind.LUX, name="Lux meter 2", serial="LX-2")


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"name": " "}, "name"),
        ({"serial": " "}, "serial"),
        ({"correction_factor": Decimal(0)}, "correction_factor"),
        ({"correction_factor": NAN}, "correction_factor"),
    ],
)
def test_a_meter_has_a_name_a_number_and_a_factor_now_and_later(
    marit: Person, wrong: dict[str, Any], field: str
) -> None:
    said: dict[str, Any] = {"by": marit, "role": Role.CONSERVATOR, "at": AT}
    assert fields(lambda: add_instrument(**said, details=replace(METER, **wrong))) == [field]
    kept = add_instrument(**said, details=METER)
    changed = replace(METER, **wrong)
    assert fields(
        lambda: change_instrument(**said, instrument=kept, details=changed, why="Sent away.")
    ) == [field]


def test_a_meter_is_changed_by_those_who_use_or_send_it(marit: Person) -> None:
    kept = add_instrument(by=marit, role=Role.CONSERVATOR, at=AT, details=METER)
    with pytest.raises(NotAllowed):
        change_instrument(
            by=make_person(Role.CURATOR),
            role=Role.CURATOR,
            at=AT,
            instrument=kept,
            details=METER,
            why="",
        )


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"uv": NAN}, "uv"),
        ({"uv": Decimal(-1)}, "uv"),
        ({"uv": Decimal(5001)}, "uv"),
        ({"instrument": "retired"}, "instrument"),
        ({"instrument": "far out of true", "lux": "60000"}, "lux"),
        ({"face": "of another object"}, "face"),
    ],
)
def test_a_reading_that_cannot_be_true_is_refused(
    marit: Person, case: Place, said: dict[str, Any], field: str
) -> None:
    means: dict[str, Callable[[], Any]] = {
        "retired": lambda: make_meter(retired_on=AT.date()),
        "far out of true": lambda: make_meter(correction_factor=Decimal(2)),
        "of another object": make_face,
    }
    values = {name: means[value]() if value in means else value for name, value in said.items()}
    showing = make_showing() if "face" in said else None
    assert fields(lambda: reading(marit, case, showing=showing, **values)) == [field]
    assert not LightReading.objects.exists()


def test_nothing_is_read_in_a_place_that_was_closed(marit: Person) -> None:
    closed = make_place(closed_on=AT.date())
    assert fields(lambda: reading(marit, closed)) == ["place"]


def test_a_reading_is_corrected_by_those_who_read(marit: Person, case: Place) -> None:
    kept = reading(marit, case)
    with pytest.raises(NotAllowed):
        correct_reading(
            by=make_person(Role.CURATOR),
            role=Role.CURATOR,
            at=AT,
            reading=kept,
            lux=Decimal(40),
            why="Misread.",
        )
