"""Air by hand, light charged to a face, looks and their answers, instruments."""

from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest

from lifecycle.actions.light import (
    InstrumentDetails,
    add_instrument,
    change_instrument,
    charge_light,
    correct_entry,
    enter_past_light,
    read_climate,
)
from lifecycle.actions.looks import answer_look, record_look
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.planning.ledger import EntryKind
from lifecycle.process.stages import Role
from lifecycle.process.words import LookVerdict
from lifecycle.queries.light import account_of, light_of, looks_of
from lifecycle.records.models import (
    Instrument,
    LightEntry,
    Look,
    Message,
    Person,
    Place,
    RoleAssignment,
)
from lifecycle.records.models.light import InstrumentKind
from tests.builders.core import (
    AT,
    make_face,
    make_museum,
    make_object,
    make_person,
    make_showing,
)
from tests.builders.light import make_case

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)


@pytest.fixture(autouse=True)
def _museum() -> None:
    make_museum()


@pytest.fixture
def conservator() -> Person:
    return make_person(Role.CONSERVATOR)


@pytest.fixture
def case() -> Place:
    return make_case()


def volunteer(gallery: Place, *, trained: bool = True) -> Person:
    person = make_person(Role.ATTENDANT)
    post = RoleAssignment.objects.get(person=person)
    post.galleries.add(gallery)
    post.trained = trained
    post.keep(by=None, role="", why="Trained.", at=AT, fields=["trained"])
    return person


def texts(call: Callable[[], object]) -> str:
    with pytest.raises(Refused) as refused:
        call()
    return str(refused.value)


@pytest.mark.parametrize(("t_c", "rh"), [("19", "101"), ("19", "-1"), ("99", "50")])
def test_impossible_air_is_refused(conservator: Person, case: Place, t_c: str, rh: str) -> None:
    with pytest.raises(Refused):
        read_climate(
            by=conservator,
            role=Role.CONSERVATOR,
            at=AT,
            place=case,
            t_c=Decimal(t_c),
            rh=Decimal(rh),
            read_at=AT,
        )
    kept = read_climate(
        by=conservator,
        role=Role.CONSERVATOR,
        at=AT,
        place=case,
        t_c=Decimal("19.44"),
        rh=Decimal(48),
        read_at=AT,
    )
    assert kept.t_c == Decimal("19.4")


def test_a_past_showing_is_an_estimate_with_basis_and_source(conservator: Person) -> None:
    face = make_face()

    def enter(low: int, likely: int, high: int, **values: Any) -> LightEntry:
        values.setdefault("basis", "50 to 80 lx by the lamps of the time")
        values.setdefault("source", "file note 1998")
        return enter_past_light(
            by=conservator,
            role=Role.CONSERVATOR,
            at=AT,
            face=face,
            from_at=AT - timedelta(days=700),
            until_at=AT - timedelta(days=600),
            low=Decimal(low),
            likely=Decimal(likely),
            high=Decimal(high),
            **values,
        )

    assert "in order" in texts(lambda: enter(3, 2, 1))
    assert "not negative" in texts(lambda: enter(-1, 2, 3))
    assert "rests on" in texts(lambda: enter(1, 2, 3, basis=""))
    assert "file note" in texts(lambda: enter(1, 2, 3, source=""))
    entry = enter(8_000, 10_000, 15_000)
    spent = account_of(face, AT).spent
    assert (spent.low, spent.likely, spent.high) == (8_000, 10_000, 15_000)
    correct_entry(
        by=conservator,
        role=Role.CONSERVATOR,
        at=AT,
        entry=entry,
        low=Decimal(1),
        likely=Decimal(2),
        high=Decimal(3),
        why="Another object's file.",
    )
    assert account_of(face, AT).spent.likely == 2
    assert LightEntry.objects.count() == 2
    with pytest.raises(NotAllowed):
        enter_past_light(
            by=make_person(Role.CURATOR),
            role=Role.CURATOR,
            at=AT,
            face=face,
            from_at=AT,
            until_at=AT,
            low=Decimal(1),
            likely=Decimal(1),
            high=Decimal(1),
            basis="b",
            source="s",
        )


@pytest.mark.parametrize(("minutes", "spent"), [(45, 0), (46, 767)])
def test_lab_light_is_kept_and_charged_above_one_percent(
    conservator: Person, minutes: int, spent: int
) -> None:
    # 1,000 lx for 45 min are 750 lx·h, one percent of 75,000; 46 min are 766.67.
    face = make_face()
    charge_light(
        by=conservator,
        role=Role.CONSERVATOR,
        at=AT,
        face=face,
        kind=EntryKind.EXAMINATION,
        from_at=AT - HOUR,
        until_at=AT,
        lux=Decimal(1_000),
        minutes=minutes,
        basis="raking light",
    )
    assert account_of(face, AT + HOUR).spent.likely == spent
    assert LightEntry.objects.count() == 1


def test_a_look_is_kept_and_act_now_is_told_at_once(conservator: Person, case: Place) -> None:
    album = make_object()
    showing = make_showing(museum_object=album)
    gil = volunteer(case)
    seen = record_look(
        by=gil,
        role=Role.ATTENDANT,
        at=AT,
        museum_object=album,
        place=case,
        showing=showing,
        verdict=LookVerdict.LOOK_AGAIN,
        looked_at=AT - HOUR,
        note="hazy at the left",
    )
    assert Message.objects.count() == 0
    record_look(
        by=gil,
        role=Role.ATTENDANT,
        at=AT,
        museum_object=album,
        place=case,
        showing=showing,
        verdict=LookVerdict.ACT_NOW,
        looked_at=AT,
    )
    assert Message.objects.filter(person=conservator).count() == 1
    flags = light_of([showing], AT)[showing.pk].flags
    # Tuesday 2 June plus two working days is Thursday 4 June; 'act now' is due the same day.
    assert [(flag.act_now, flag.answer_due) for flag in flags] == [
        (False, date(2026, 6, 4)),
        (True, date(2026, 6, 2)),
    ]
    answer_look(
        by=conservator,
        role=Role.CONSERVATOR,
        at=AT,
        look=seen,
        text="seen, dust on glass, cleaned",
    )
    assert len(light_of([showing], AT)[showing.pk].flags) == 1
    assert looks_of(showing)[0].answers == (
        f"answered: seen, dust on glass, cleaned, {conservator.full_name}",
    )


def test_a_look_without_a_verdict_says_why_the_object_was_not_reached(
    conservator: Person, case: Place
) -> None:
    thing = make_object()

    def look(**values: Any) -> Look:
        return record_look(
            by=conservator,
            role=Role.CONSERVATOR,
            at=AT,
            museum_object=thing,
            place=case,
            looked_at=AT,
            **values,
        )

    assert "was not reached" in texts(look)
    assert "was reached" in texts(
        lambda: look(verdict=LookVerdict.AS_PICTURE, not_reached_because="crowd")
    )
    assert "120 letters" in texts(lambda: look(verdict=LookVerdict.AS_PICTURE, note="x" * 121))
    assert "another object" in texts(lambda: look(verdict=LookVerdict.AS_PICTURE, face=make_face()))
    missed = look(not_reached_because="gallery full")
    assert missed.verdict == ""
    with pytest.raises(Refused):
        answer_look(by=conservator, role=Role.CONSERVATOR, at=AT, look=missed, text="fine")


def test_volunteers_flag_and_conservators_answer(case: Place) -> None:
    gil = volunteer(case)
    flag = record_look(
        by=gil,
        role=Role.ATTENDANT,
        at=AT,
        museum_object=make_object(),
        place=case,
        verdict=LookVerdict.LOOK_AGAIN,
        looked_at=AT,
    )
    with pytest.raises(NotAllowed):
        answer_look(by=gil, role=Role.ATTENDANT, at=AT, look=flag, text="fine")
    with pytest.raises(NotAllowed):
        record_look(
            by=gil,
            role=Role.ATTENDANT,
            at=AT,
            museum_object=make_object(),
            place=make_case(),
            verdict=LookVerdict.AS_PICTURE,
            looked_at=AT,
        )


def test_an_instrument_is_kept_once_a_serial_number_with_its_calibration(
    conservator: Person,
) -> None:
    details = InstrumentDetails(
        kind=InstrumentKind.LUX,
        name="Lux meter",
        serial="LM-1",
        calibrated_on=date(2026, 1, 1),
        calibration_due=date(2027, 1, 1),
    )

    def add(given: InstrumentDetails) -> Instrument:
        return add_instrument(by=conservator, role=Role.CONSERVATOR, at=AT, details=given)

    meter = add(details)
    assert "on record already" in texts(lambda: add(details))
    backwards = InstrumentDetails(
        kind=InstrumentKind.LUX,
        name="Lux meter",
        serial="LM-2",
        calibrated_on=date(2026, 1, 1),
        calibration_due=date(2025, 1, 1),
    )
    assert "before it was done" in texts(lambda: add(backwards))
    changed = change_instrument(
        by=conservator,
        role=Role.CONSERVATOR,
        at=AT,
        instrument=meter,
        details=InstrumentDetails(
            kind=InstrumentKind.LUX,
            name="Lux meter",
            serial="LM-1",
            correction_factor=Decimal("1.05"),
        ),
        why="Calibrated.",
    )
    assert changed.history.count() == 2
    with pytest.raises(NotAllowed):
        add_instrument(by=make_person(Role.CURATOR), role=Role.CURATOR, at=AT, details=backwards)
