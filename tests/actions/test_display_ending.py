"""Withdraw with a substitute, pass on, take over what hangs already."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from lifecycle.actions.display.going_home import pass_on
from lifecycle.actions.display.taking_over import Stated, take_over
from lifecycle.actions.display.withdrawing import withdraw
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.actions.strikes import strike_move
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import Certainty, PlaceKind
from lifecycle.records.models import (
    DisplayPeriod,
    Document,
    HouseRules,
    JournalEntry,
    LightEntry,
    Movement,
    PassOn,
    Showing,
    TakeOver,
    Withdrawal,
)
from lifecycle.records.models.display.ending import SubstituteKind
from tests.builders.core import (
    kept_by,
    make_exhibition,
    make_face,
    make_object,
    make_person,
    make_place,
)
from tests.builders.display import (
    Crew,
    bring,
    make_case,
    make_crew,
    plan_way,
    planned_showing,
    put_at,
)

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 2, 2, 9, 0, tzinfo=UTC)
AFTER = datetime(2026, 9, 9, 9, 0, tzinfo=UTC)


def own_showing(crew: Crew, stage: Stage = Stage.MOUNTING) -> Showing:
    exhibition = make_exhibition()
    exhibition.curators.add(crew.curator)
    _, positions = make_case("N8", 2)
    showing = planned_showing(exhibition, positions[0])
    put_at(showing, stage, NOW)
    return Showing.objects.get(pk=showing.pk)


def off_the_list(crew: Crew, showing: Showing, **values: Any) -> Withdrawal:
    values.setdefault("reason", "It proved too fragile.")
    values.setdefault("substitute", SubstituteKind.NONE_WANTED)
    return withdraw(by=crew.curator, role=Role.CURATOR, at=NOW, showing=showing, **values)


def test_another_object_stands_in_and_its_showing_is_named() -> None:
    crew = make_crew()
    showing = own_showing(crew)
    other = planned_showing(showing.exhibition, None)
    row = off_the_list(
        crew, showing, substitute=SubstituteKind.OBJECT, substitute_object=other.museum_object
    )
    fresh = Showing.objects.get(pk=showing.pk)
    assert (fresh.stage, fresh.substitute) == (Stage.WITHDRAWN, other)
    assert row.back_at == fresh.museum_object.normal_location
    assert row.back_confirmed_by == crew.curator


def test_a_facsimile_may_stand_in_by_its_name() -> None:
    crew = make_crew()
    showing = own_showing(crew)
    with pytest.raises(Refused, match="Name the facsimile"):
        off_the_list(crew, showing, substitute=SubstituteKind.FACSIMILE)
    row = off_the_list(
        crew, showing, substitute=SubstituteKind.FACSIMILE, substitute_note="Facsimile FX-0007"
    )
    assert row.substitute_note == "Facsimile FX-0007"


def test_withdrawing_needs_a_reason_and_a_word_about_a_substitute() -> None:
    crew = make_crew()
    showing = own_showing(crew)
    with pytest.raises(Refused) as refused:
        off_the_list(crew, showing, reason=" ", substitute=None)
    assert {r.field for r in refused.value.reasons} == {"reason", "substitute"}
    with pytest.raises(Refused, match="Name the object that stands in"):
        off_the_list(
            crew,
            showing,
            substitute=SubstituteKind.OBJECT,
            substitute_object=showing.museum_object,
        )


def test_an_object_that_is_not_back_in_its_place_is_not_withdrawn() -> None:
    crew = make_crew()
    showing = own_showing(crew)
    bring(crew, showing, make_place("Bench 3", PlaceKind.BENCH), NOW - timedelta(days=1))
    with pytest.raises(Refused) as refused:
        off_the_list(crew, Showing.objects.get(pk=showing.pk))
    assert {r.code for r in refused.value.reasons} == {"object.back"}
    assert not Withdrawal.objects.exists()


def test_who_confirmed_the_last_arrival_stands_on_the_withdrawal() -> None:
    crew = make_crew()
    showing = own_showing(crew)
    off_the_list(crew, showing)
    assert Withdrawal.objects.get().back_confirmed_by == crew.curator


@pytest.mark.parametrize("role", [Role.CONSERVATOR, Role.REGISTRAR, Role.TECHNICIAN])
def test_only_a_curator_withdraws(role: Role) -> None:
    crew = make_crew()
    with pytest.raises(NotAllowed):
        withdraw(
            by=make_person(role),
            role=role,
            at=NOW,
            showing=own_showing(crew),
            reason="No.",
            substitute=SubstituteKind.NONE_WANTED,
        )


def test_a_withdrawal_in_error_may_be_made_again() -> None:
    crew = make_crew()
    showing = own_showing(crew)
    off_the_list(crew, showing)
    entry = JournalEntry.objects.get(showing=showing, move="withdraw")
    strike_move(
        entry_id=entry.pk,
        by=crew.curator,
        role=Role.CURATOR,
        at=NOW + timedelta(minutes=1),
        reason="The wrong line.",
    )
    assert Showing.objects.get(pk=showing.pk).stage == Stage.MOUNTING
    off_the_list(crew, Showing.objects.get(pk=showing.pk))
    assert Withdrawal.objects.count() == 2


def rules_open_until(day: date | None) -> None:
    rules = HouseRules.objects.filter(version=3).first()
    assert rules is not None
    rules.taking_over_until = day
    rules.keep(**kept_by(), fields=["taking_over_until"])


def stated(thing: Any, place: Any, **values: Any) -> Stated:
    said: dict[str, Any] = {
        "face": make_face(thing),
        "place": place,
        "to": Stage.ON_DISPLAY,
        "since_from": NOW - timedelta(days=200),
        "since_to": NOW - timedelta(days=190),
        "since_certainty": Certainty.BETWEEN,
        "light_low": 9_000,
        "light_likely": 12_000,
        "light_high": 20_000,
        "light_basis": "50 lx, 10 h a day, from the old lamp list",
        "no_report_known": True,
        "missing": ["baseline", "part_a"],
    }
    return Stated(**(said | values))


def taken_over(crew: Crew, **values: Any) -> Showing:
    _, positions = make_case("N9", 1)
    thing = make_object()
    rules_open_until(values.pop("until", NOW.date() + timedelta(days=30)))
    return take_over(
        by=crew.registrar,
        role=Role.REGISTRAR,
        at=NOW,
        exhibition=make_exhibition(),
        museum_object=thing,
        said=stated(thing, positions[0], **values),
        conservator=crew.conservator,
    )


def test_what_hangs_is_taken_over_with_its_light_and_what_is_missing() -> None:
    crew = make_crew()
    showing = taken_over(crew)
    assert (showing.stage, showing.taken_over_on) == (Stage.ON_DISPLAY, NOW.date())
    entry = TakeOver.objects.get()
    assert [line["code"] for line in entry.missing] == ["baseline", "part_a"]
    period = DisplayPeriod.objects.get()
    assert (period.opened_by, period.place) == ("taken_over", entry.place)
    light = LightEntry.objects.get()
    figures = [light.low_lx_h, light.likely_lx_h, light.high_lx_h]
    assert figures == [Decimal(9_000), Decimal(12_000), Decimal(20_000)]
    move = JournalEntry.objects.get(showing=showing)
    assert (move.by, move.second) == (crew.registrar, crew.conservator)


@pytest.mark.parametrize("until", [None, NOW.date() - timedelta(days=1)])
def test_outside_the_taking_over_period_nothing_is_taken_over(until: date | None) -> None:
    crew = make_crew()
    with pytest.raises(Refused) as refused:
        taken_over(crew, until=until)
    assert "takeover.period" in {r.code for r in refused.value.reasons}
    assert not Showing.objects.exists()


@pytest.mark.parametrize(
    ("gap", "field"),
    [
        ({"light_likely": 30_000}, "light_likely"),
        ({"light_basis": ""}, "light_basis"),
        ({"no_report_known": False}, "last_report"),
        ({"no_report_known": False, "last_report": "1998/4"}, "last_report_scan"),
        ({"since_from": None}, "since_from"),
        ({"since_to": NOW - timedelta(days=300)}, "since_to"),
        ({"since_to": NOW + timedelta(days=1)}, "since_from"),
        ({"missing": ["something"]}, "missing"),
        ({"to": Stage.SELECTION}, "to"),
    ],
)
def test_each_impossible_statement_stands_beside_its_field(gap: dict[str, Any], field: str) -> None:
    crew = make_crew()
    with pytest.raises(Refused) as refused:
        taken_over(crew, **gap)
    assert field in {r.field for r in refused.value.reasons}


def test_a_report_that_is_known_comes_with_its_scan() -> None:
    crew = make_crew()
    scan = Document(
        sha256="c" * 64,
        name="1998-4.pdf",
        mime="application/pdf",
        size_bytes=10,
        title="Report 1998/4",
        entered_at=NOW,
    ).keep(**kept_by())
    showing = taken_over(crew, no_report_known=False, last_report="1998/4", last_report_scan=scan)
    assert showing.take_over.last_report_scan == scan


@pytest.mark.parametrize("role", [Role.CONSERVATOR, Role.CURATOR, Role.TECHNICIAN])
def test_only_a_registrar_takes_over(role: Role) -> None:
    crew = make_crew()
    thing = make_object()
    _, positions = make_case("N9", 1)
    rules_open_until(NOW.date())
    with pytest.raises(NotAllowed):
        take_over(
            by=make_person(role),
            role=role,
            at=NOW,
            exhibition=make_exhibition(),
            museum_object=thing,
            said=stated(thing, positions[0]),
            conservator=crew.conservator,
        )


def two_showings(crew: Crew) -> tuple[Showing, Showing, Movement]:
    first = own_showing(crew, Stage.DEINSTALL_CHECK)
    later = make_exhibition(
        install_from=date(2026, 10, 1),
        opens=date(2026, 10, 10),
        closes=date(2026, 12, 20),
        deinstall_until=date(2026, 12, 31),
    )
    second = planned_showing(later, None, museum_object=first.museum_object)
    put_at(second, Stage.SELECTION, NOW)
    bench = make_place("Bench of the next", PlaceKind.BENCH)
    return first, second, plan_way(crew, [first], bench, AFTER)


def passed_on(crew: Crew, first: Showing, second: Showing, way: Movement | None) -> PassOn:
    return pass_on(
        by=crew.registrar,
        role=Role.REGISTRAR,
        at=AFTER,
        showing=first,
        coming=second,
        movement=way,
        travel_housing="Crate 4",
        conservator=crew.conservator,
    )


def test_passing_on_names_everything_that_still_stands_in_the_way() -> None:
    crew = make_crew()
    first, second, way = two_showings(crew)
    with pytest.raises(Refused) as refused:
        passed_on(crew, first, second, way)
    found = {r.code for r in refused.value.reasons}
    assert {"part_b.missing", "next.answer", "housing.travel", "movement.next"} <= found
    assert Showing.objects.get(pk=first.pk).passed_on_to is None
    assert not PassOn.objects.exists()


def test_passing_on_needs_the_movement_and_another_showing_of_the_same_object() -> None:
    crew = make_crew()
    first, second, _ = two_showings(crew)
    with pytest.raises(Refused, match="Choose the movement"):
        passed_on(crew, first, second, None)
    stranger = planned_showing(second.exhibition, None)
    with pytest.raises(Refused, match="is no other showing of"):
        passed_on(crew, first, stranger, None)
