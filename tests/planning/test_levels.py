"""Illuminance between readings: the decided rule of this project, case by case."""

from datetime import datetime

from lifecycle.planning.levels import (
    Basis,
    LevelRule,
    LightChange,
    Position,
    Reading,
    level_now,
    pieces_of_state,
)
from lifecycle.planning.lit_hours import LampState
from lifecycle.planning.moments import MINUTES_PER_DAY, minute_of
from lifecycle.planning.quantities import Band, level_of
from tests.planning.museum import at, event, place, reading

RULE = LevelRule(gap_minutes=56 * MINUTES_PER_DAY, ceiling=level_of(50))
MARCH, APRIL, MAY = (2026, 3, 1), (2026, 4, 1), (2026, 5, 1)
Said = tuple[float, float, float, Basis]


def said(
    position: Position, since: datetime, until: datetime, rule: LevelRule = RULE
) -> list[Said]:
    pieces = pieces_of_state(position, LampState.SHOW, rule, minute_of(since), minute_of(until))
    return [(p.band.low / 20, p.band.likely / 20, p.band.high / 20, p.basis) for p in pieces]


def test_between_two_readings_without_an_event_the_mean_is_likely() -> None:
    position = place(reading(48, *MARCH), reading(40, *APRIL))
    assert said(position, at(*MARCH), at(*APRIL)) == [(40, 44, 48, Basis.MEAN)]


def test_the_house_may_choose_the_later_value_instead_of_the_mean() -> None:
    position = place(reading(48, *MARCH), reading(40, *APRIL))
    rule = LevelRule(mean_between=False)
    assert said(position, at(*MARCH), at(*APRIL), rule) == [(40, 40, 48, Basis.MEAN)]


def test_the_later_value_holds_back_to_the_known_event() -> None:
    lamp = event(2026, 3, 10, 15, 5)
    position = place(reading(48, *MARCH), reading(60, *APRIL), events=(lamp,))
    assert said(position, at(*MARCH), at(*APRIL)) == [
        (48, 48, 48, Basis.HELD),
        (60, 60, 60, Basis.HELD),
    ]


def test_an_event_known_only_between_two_days_leaves_that_span_open() -> None:
    lamp = LightChange(first=at(2026, 3, 10), last=at(2026, 3, 12))
    position = place(reading(48, *MARCH), reading(60, *APRIL), events=(lamp,))
    assert said(position, at(*MARCH), at(*APRIL)) == [
        (48, 48, 48, Basis.HELD),
        (48, 54, 60, Basis.UNCERTAIN_EVENT),
        (60, 60, 60, Basis.HELD),
    ]


def test_an_event_voids_the_last_reading_and_the_ceiling_is_charged() -> None:
    position = place(reading(44, *MARCH), events=(event(2026, 3, 10),))
    assert said(position, at(*MARCH), at(*APRIL)) == [
        (44, 44, 44, Basis.CARRIED_ON),
        (44, 50, 50, Basis.VOIDED),
    ]


def test_without_a_reading_for_too_long_the_rest_is_charged_at_the_highest_value_seen() -> None:
    position = place(reading(70, *MARCH), reading(60, 2026, 7, 1))
    read = at(*MARCH)
    assert said(position, read, at(2026, 7, 1)) == [
        (60, 65, 70, Basis.MEAN),
        (60, 70, 70, Basis.GAP),
    ]
    pieces = pieces_of_state(
        position, LampState.SHOW, RULE, minute_of(read), minute_of(at(2026, 7, 1))
    )
    assert pieces[0].end - pieces[0].start == 56 * MINUTES_PER_DAY


def test_the_first_reading_is_carried_back_but_not_past_an_event() -> None:
    position = place(reading(44, *APRIL), events=(event(2026, 3, 10),))
    assert said(position, at(*MARCH), at(*APRIL)) == [
        (44, 50, 50, Basis.NO_READING),
        (44, 44, 44, Basis.CARRIED_BACK),
    ]


def test_no_reading_at_all_charges_the_ceiling() -> None:
    assert said(place(), at(*MARCH), at(*APRIL)) == [(0, 50, 50, Basis.NO_READING)]


def test_a_state_without_its_own_reading_takes_the_show_lights_and_is_marked() -> None:
    position = place(reading(48, *MARCH))
    (piece,) = pieces_of_state(
        position, LampState.CLEANING, RULE, minute_of(at(*MARCH)), minute_of(at(2026, 3, 9))
    )
    assert piece.band == Band.sure(level_of(48))
    assert piece.assumed_state
    assert piece.assumed


def test_a_forecast_takes_the_last_reading_while_it_is_young_and_the_ceiling_after_an_event() -> (
    None
):
    fresh = place(reading(44, *MARCH))
    voided = place(reading(44, *MARCH), events=(event(2026, 3, 2),))
    now = minute_of(at(2026, 3, 20))
    assert level_now(fresh, LampState.SHOW, RULE, now).band.likely == level_of(44)
    assert level_now(voided, LampState.SHOW, RULE, now).band.likely == level_of(50)
    old = minute_of(at(*MAY))
    assert level_now(fresh, LampState.SHOW, RULE, old).basis is Basis.GAP


def test_two_readings_in_one_minute_count_as_the_brighter_in_either_order() -> None:
    dim = Reading(at=at(*MARCH), level=level_of(40))
    bright = Reading(at=at(*MARCH), level=level_of(60))
    for pair in ((dim, bright), (bright, dim)):
        assert said(place(*pair), at(*MARCH), at(2026, 3, 9)) == [(60, 60, 60, Basis.CARRIED_ON)]
