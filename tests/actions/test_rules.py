"""House rules and words: versions approved whole, lists that keep what was used."""

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.actions.rules import ClassLimits, RulesDetails, add_class, approve_rules
from lifecycle.actions.words import add_word, bring_word_back, change_word, retire_word
from lifecycle.process.stages import Role
from lifecycle.queries.rules import version_in_force
from lifecycle.records.models import HouseRules, Person, SensitivityClass, Vocabulary
from tests.builders.core import AT, DAY, make_class, make_museum, make_person

pytestmark = pytest.mark.django_db

DETAILS = RulesDetails(
    valid_from=DAY,
    source="Invented for the tests.",
    taking_over_until=None,
    fresh_look_months=6,
    consent_lapses_months=12,
    second_reader_needed=False,
    charge_lab_light_above_percent=1,
    travel_days=2,
    between_readings_mean=True,
    notes="",
)


@pytest.fixture
def head() -> Person:
    make_museum()
    return make_person(Role.HEAD_OF_COLLECTIONS)


def acting(person: Person, role: Role = Role.HEAD_OF_COLLECTIONS) -> dict[str, Any]:
    return {"by": person, "role": role, "at": AT}


def limits(of: SensitivityClass, **values: Any) -> ClassLimits:
    """Limits of one class; 50 lx for paper is common practice, the rest is invented."""
    base = ClassLimits(
        sensitivity_class=of,
        max_lux=50,
        allowance_lx_h=75_000,
        window_years=5,
        rest_months=36,
        max_showing_weeks=None,
        max_uv=10,
        reading_every_days=28,
        look_every_days=14,
        turn_needed_above_percent=50,
        never_show=False,
        source="Common practice.",
    )
    return replace(base, **values)


def test_the_next_version_is_approved_whole_with_name_and_day(head: Person) -> None:
    high = make_class()
    made = approve_rules(**acting(head), details=DETAILS, limits=[limits(high)], follows=3)
    assert (made.version, made.approved_by, made.approved_on) == (4, head, DAY)
    assert [row.sensitivity_class for row in made.classes.all()] == [high]


def test_a_version_to_come_is_not_in_force_yet(head: Person) -> None:
    high = make_class()
    later = replace(DETAILS, valid_from=DAY + timedelta(days=30))
    approve_rules(**acting(head), details=later, limits=[limits(high)], follows=3)
    now, then = version_in_force(DAY), version_in_force(DAY + timedelta(days=30))
    assert now is not None
    assert then is not None
    assert (now.version, then.version) == (3, 4)


def test_a_version_written_meanwhile_is_not_passed_over(head: Person) -> None:
    high = make_class()
    approve_rules(**acting(head), details=DETAILS, limits=[limits(high)], follows=3)
    with pytest.raises(Refused, match="Version 4 was approved while you were writing"):
        approve_rules(**acting(head), details=DETAILS, limits=[limits(high)], follows=3)
    assert HouseRules.objects.count() == 2


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"source": " "}, "say where its figures come from"),
        ({"max_lux": 0}, "at least 1 lx"),
        ({"window_years": 0}, "at least one year"),
        ({"allowance_lx_h": 0}, "nothing could be shown"),
        ({"turn_needed_above_percent": 101}, "100 at most"),
        ({"look_every_days": 0}, "a day apart"),
    ],
)
def test_figures_that_make_no_sense_are_named(
    head: Person, change: dict[str, Any], said: str
) -> None:
    high = make_class()
    with pytest.raises(Refused, match=said):
        approve_rules(**acting(head), details=DETAILS, limits=[limits(high, **change)], follows=3)
    assert HouseRules.objects.count() == 1


def test_rules_are_never_made_backwards(head: Person) -> None:
    early = replace(DETAILS, valid_from=DAY - timedelta(days=1))
    with pytest.raises(Refused) as refused:
        approve_rules(**acting(head), details=early, limits=[limits(make_class())], follows=3)
    assert {reason.field for reason in refused.value.reasons} == {"valid_from"}


@pytest.mark.parametrize("role", [role for role in Role if role is not Role.HEAD_OF_COLLECTIONS])
def test_only_the_head_approves(role: Role) -> None:
    make_museum()
    high = make_class()
    someone = make_person(*([] if role in (Role.COURIER, Role.LENDER) else [role]))
    with pytest.raises(NotAllowed):
        approve_rules(**acting(someone, role), details=DETAILS, limits=[limits(high)], follows=3)


def test_a_class_says_what_belongs_in_it(head: Person) -> None:
    with pytest.raises(Refused):
        add_class(**acting(head), label="Very high", definition="")
    made = add_class(**acting(head), label="Very high", definition="Early colour photographs.")
    assert made.code == "very-high"
    with pytest.raises(Refused):
        add_class(**acting(head), label="very HIGH", definition="Again.")


def test_a_word_keeps_its_code_for_ever() -> None:
    make_museum()
    steward = make_person(Role.STEWARD)
    me = acting(steward, Role.STEWARD)
    word = add_word(**me, vocabulary=Vocabulary.MATERIAL, label="iron-gall ink")
    other = add_word(**me, vocabulary=Vocabulary.MATERIAL, label="Iron gall ink")
    assert (word.code, other.code) == ("iron-gall-ink", "iron-gall-ink-2")
    with pytest.raises(Refused, match="already"):
        add_word(**me, vocabulary=Vocabulary.MATERIAL, label="IRON-GALL INK")
    add_word(**me, vocabulary=Vocabulary.TECHNIQUE, label="iron-gall ink")
    changed = change_word(
        **me,
        word=word,
        label="iron gall ink, brown",
        definition="Ink made of galls and an iron salt.",
        group="",
        external_identifier="",
        why="Clearer.",
    )
    assert changed.code == "iron-gall-ink"


def test_a_retired_word_can_come_back() -> None:
    make_museum()
    me = acting(make_person(Role.STEWARD), Role.STEWARD)
    word = add_word(**me, vocabulary=Vocabulary.GROUND, label="too fragile")
    with pytest.raises(Refused):
        retire_word(**me, word=word, why="")
    assert retire_word(**me, word=word, why="Said otherwise.").retired_on == DAY
    with pytest.raises(Refused):
        retire_word(**me, word=word, why="Again.")
    assert bring_word_back(**me, word=word).retired_on is None
