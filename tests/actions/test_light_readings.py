"""Light readings and events: what is kept, marked, asked about once and refused."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from lifecycle.actions.light import (
    correct_reading,
    report_light_event,
    take_reading,
)
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.planning.lit_hours import LampState
from lifecycle.process.stages import Role
from lifecycle.process.words import Certainty
from lifecycle.queries.light import account_of, light_of
from lifecycle.records.models import (
    LightReading,
    Message,
    Person,
    Place,
    RoleAssignment,
    Showing,
)
from lifecycle.records.models.light import ChangeOfLight, InstrumentKind
from tests.builders.core import (
    AT,
    make_class,
    make_face,
    make_museum,
    make_object,
    make_person,
    make_place,
)
from tests.builders.light import hang, make_case, make_meter, make_point, read_light

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


def reading(by: Person, place: Place, lux: str = "48", **values: Any) -> LightReading:
    values.setdefault("role", Role.CONSERVATOR)
    values.setdefault("point", None)
    values.setdefault("read_at", AT - HOUR)
    if "instrument" not in values:
        values["instrument"] = make_meter()
    return take_reading(by=by, at=AT, place=place, lux=Decimal(lux), **values)


def texts(call: Callable[[], object]) -> str:
    with pytest.raises(Refused) as refused:
        call()
    return str(refused.value)


def codes(call: Callable[[], object]) -> list[str]:
    with pytest.raises(Refused) as refused:
        call()
    return [reason.code for reason in refused.value.reasons]


def test_a_reading_is_kept_with_who_read_and_who_entered_it(
    conservator: Person, case: Place
) -> None:
    kept = reading(conservator, case, "47.5", uv=Decimal("4.2"))
    assert (kept.lux, kept.uv, kept.read_by, kept.entered_at) == (
        Decimal("47.5"),
        Decimal("4.2"),
        conservator,
        AT,
    )
    assert not kept.suspicious
    assert kept.counts


def test_the_meters_correction_factor_is_applied_and_what_it_showed_is_kept(
    conservator: Person, case: Place
) -> None:
    kept = reading(
        conservator, case, "50", instrument=make_meter(correction_factor=Decimal("1.03"))
    )
    assert (kept.lux, kept.shown_lux) == (Decimal("51.5"), Decimal("50.0"))


def test_an_odd_value_is_asked_about_once_then_kept_and_marked(
    conservator: Person, case: Place
) -> None:
    read_light(case, "48", AT - timedelta(days=7))
    assert codes(lambda: reading(conservator, case, "500")) == ["reading.odd"]
    kept = reading(conservator, case, "500", sure=True)
    assert kept.suspicious
    assert kept.counts


def test_uv_far_above_the_ceiling_of_what_hangs_there_is_asked_about_though_never_read_before(
    conservator: Person, case: Place
) -> None:
    face = make_face(make_object(sensitivity_class=make_class("uv", max_uv=30)))
    hang(face, make_place(parent=case), opened_at=AT - timedelta(days=30))
    with pytest.raises(Refused, match="UV ceiling of 30") as refused:
        reading(conservator, case, "48", uv=Decimal(45))
    assert [(one.field, one.code) for one in refused.value.reasons] == [("uv", "reading.odd")]
    assert not reading(conservator, case, "48", uv=Decimal("44.9")).suspicious


def test_uv_far_from_what_was_read_last_is_asked_about_once_too(
    conservator: Person, case: Place
) -> None:
    read_light(case, "48", AT - timedelta(days=7), uv=Decimal(8))
    assert not reading(conservator, case, uv=Decimal(17)).suspicious  # a meter's own spread
    with pytest.raises(Refused) as refused:
        reading(conservator, case, "48", uv=Decimal(95))
    assert [(one.field, one.code) for one in refused.value.reasons] == [("uv", "reading.odd")]
    assert reading(conservator, case, "48", uv=Decimal(95), sure=True).suspicious


def test_light_above_the_ceiling_by_half_is_asked_about_and_told_at_once(
    conservator: Person, case: Place
) -> None:
    hang(make_face(), make_place(parent=case), opened_at=AT - timedelta(days=7))
    assert codes(lambda: reading(conservator, case, "75")) == ["reading.odd"]
    reading(conservator, case, "75", sure=True)
    assert Message.objects.filter(person=conservator).count() == 1
    reading(conservator, case, "74.9")
    assert Message.objects.count() == 1


def test_a_meter_past_its_calibration_is_kept_and_marked(conservator: Person, case: Place) -> None:
    old = make_meter(calibrated_on=date(2024, 1, 1), calibration_due=date(2026, 6, 1))
    assert reading(conservator, case, instrument=old).meter_lapsed
    assert not reading(conservator, case).meter_lapsed


@pytest.mark.parametrize("lux", ["-1", "NaN", "100000"])
def test_an_impossible_value_is_refused(conservator: Person, case: Place, lux: str) -> None:
    assert "lx" in texts(lambda: reading(conservator, case, lux))
    assert not LightReading.objects.exists()


def test_a_reading_of_tomorrow_or_without_a_meter_is_refused(
    conservator: Person, case: Place
) -> None:
    assert "future" in texts(lambda: reading(conservator, case, read_at=AT + HOUR))
    assert "meter" in texts(lambda: reading(conservator, case, instrument=None))
    air = make_meter(kind=InstrumentKind.THERMO_HYGROMETER)
    assert "measures no lux" in texts(lambda: reading(conservator, case, instrument=air))


def test_a_point_of_another_place_is_refused(conservator: Person, case: Place) -> None:
    assert "another place" in texts(
        lambda: reading(conservator, case, point=make_point(make_case()))
    )


def test_a_volunteers_reading_counts_when_meter_and_point_are_known(case: Place) -> None:
    gil = volunteer(case)
    point = make_point(case)
    sure = reading(gil, case, role=Role.ATTENDANT, point=point)
    vague = reading(gil, case, role=Role.ATTENDANT, instrument=None)
    assert (sure.by_volunteer, sure.counts) == (True, True)
    assert (vague.by_volunteer, vague.counts) == (True, False)


def test_who_may_read_light(case: Place) -> None:
    # Common practice: conservators read; volunteers in their gallery, if trained.
    with pytest.raises(NotAllowed):
        reading(make_person(Role.CURATOR), case, role=Role.CURATOR)
    with pytest.raises(NotAllowed):
        reading(volunteer(case, trained=False), case, role=Role.ATTENDANT)
    with pytest.raises(NotAllowed):
        reading(volunteer(make_case()), case, role=Role.ATTENDANT)
    registrar = make_person(Role.REGISTRAR)
    with pytest.raises(NotAllowed):
        reading(registrar, case, role=Role.REGISTRAR)
    assert reading(registrar, case, role=Role.REGISTRAR, at_take_down=True).pk


def test_a_corrected_reading_is_kept_and_the_new_one_counts(
    conservator: Person, case: Place
) -> None:
    face = make_face()
    place = make_place(parent=case)
    hang(face, place, opened_at=AT - timedelta(days=7))
    wrong = reading(conservator, place, "480", read_at=AT - timedelta(days=6), sure=True)
    before = account_of(face, AT).spent.likely
    right = correct_reading(
        by=conservator,
        role=Role.CONSERVATOR,
        at=AT,
        reading=wrong,
        lux=Decimal(48),
        why="A nought too many.",
    )
    assert right.corrects == wrong
    assert LightReading.objects.count() == 2
    assert account_of(face, AT).spent.likely * 10 == before
    assert account_of(face, AT - timedelta(minutes=1)).spent.likely < before
    assert "corrected already" in texts(
        lambda: correct_reading(
            by=conservator, role=Role.CONSERVATOR, at=AT, reading=wrong, lux=Decimal(1), why="x"
        )
    )
    assert "why" in texts(
        lambda: correct_reading(
            by=conservator, role=Role.CONSERVATOR, at=AT, reading=right, lux=Decimal(1), why=" "
        )
    )


def test_a_reading_can_be_neither_changed_nor_deleted(conservator: Person, case: Place) -> None:
    kept = reading(conservator, case)
    with pytest.raises(TypeError):
        kept.delete()
    with pytest.raises(TypeError):
        LightReading.objects.filter(pk=kept.pk).update(lux=1)
    with pytest.raises(TypeError):
        kept.append()


def test_the_database_itself_refuses_a_negative_lux(conservator: Person, case: Place) -> None:
    kept = reading(conservator, case)
    kept.pk, kept.lux = None, Decimal(-1)
    kept.uid = make_place().uid
    with pytest.raises(IntegrityError), transaction.atomic():
        kept.save(force_insert=True)


def test_a_light_event_voids_the_last_reading_and_makes_a_new_one_due_the_same_day(
    conservator: Person, case: Place
) -> None:
    face, place = make_face(), make_place(parent=case)
    period = hang(face, place, opened_at=AT - timedelta(days=7))
    reading(conservator, place, "40", read_at=AT - timedelta(days=6))
    showing = Showing.objects.get(pk=period.showing_id)
    assert light_of([showing], AT)[showing.pk].watch.reading_due == date(2026, 6, 24)
    report_light_event(
        by=make_person(Role.ATTENDANT),
        role=Role.ATTENDANT,
        at=AT,
        place=case,
        what=ChangeOfLight.LAMP_REPLACED,
        from_at=AT - HOUR,
    )
    assert light_of([showing], AT)[showing.pk].watch.reading_due == AT.date()
    parts = account_of(face, AT + timedelta(days=2)).lines[0].parts
    assert parts[-1].basis.label == "charged: a light event voids the last reading"
    assert parts[-1].level.likely == 50 * 20


def test_an_event_that_ends_before_it_begins_is_refused(conservator: Person, case: Place) -> None:
    def report(**values: Any) -> object:
        return report_light_event(
            by=conservator,
            role=Role.CONSERVATOR,
            at=AT,
            place=case,
            what=ChangeOfLight.DIMMED,
            **values,
        )

    between = {"certainty": Certainty.BETWEEN}
    assert "before it begins" in texts(
        lambda: report(from_at=AT - HOUR, until_at=AT - 2 * HOUR, **between)
    )
    assert "past" in texts(lambda: report(from_at=AT + HOUR))
    assert "no second one" in texts(lambda: report(from_at=AT - HOUR, until_at=AT))
    assert report(from_at=AT - HOUR, until_at=AT, **between)
    assert report(from_at=AT - HOUR)


def test_the_state_of_the_lamps_is_part_of_a_reading(conservator: Person, case: Place) -> None:
    read_light(case, "48", datetime(2026, 5, 1, tzinfo=UTC))
    kept = reading(conservator, case, "150", lamp_state=LampState.CLEANING)
    assert kept.lamp_state == LampState.CLEANING
    assert not kept.suspicious
