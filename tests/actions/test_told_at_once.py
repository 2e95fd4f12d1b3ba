"""The short list of what is mailed at once: to whom, once, and again only when it got worse."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

import pytest

from lifecycle.actions.incidents import Happening, start_incident
from lifecycle.actions.light import correct_reading
from lifecycle.actions.loans import change_clause
from lifecycle.actions.looks import record_look
from lifecycle.process.stages import Role
from lifecycle.process.words import Hazard, LookVerdict
from lifecycle.records.models import (
    DeputyTerm,
    LightReading,
    Message,
    MuseumObject,
    ObjectHazard,
    Person,
    Place,
    Requirement,
    Vocabulary,
)
from lifecycle.records.models.loans import RequirementState
from tests.actions.test_loans import acting, clause, loan
from tests.builders.core import (
    kept_by,
    make_face,
    make_object,
    make_person,
    make_place,
    make_word,
)
from tests.builders.display import Crew, make_crew
from tests.builders.light import hang, make_case, read_light

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 7, 20, 11, 0, tzinfo=UTC)
HOUR = timedelta(hours=1)


@pytest.fixture
def crew() -> Crew:
    return make_crew()


def told(part: str = "") -> list[Person]:
    rows = Message.objects.filter(key__contains=part).select_related("person")
    return [row.person for row in rows.order_by("pk")]


def incident(crew: Crew, *things: MuseumObject, kind: str = "slip", act_now: bool = True) -> str:
    said = Happening(
        kind=make_word(Vocabulary.INCIDENT_KIND, kind),
        discovered_at=NOW - timedelta(minutes=5),
        circumstances="The sheet has slipped on its mount by about a centimetre.",
        objects=things,
        act_now=act_now,
    )
    row = start_incident(by=crew.technician, role=Role.TECHNICIAN, at=NOW, said=said)
    return row.incident_no


def test_an_incident_flagged_act_now_is_told_to_the_conservators_and_nobody_else(
    crew: Crew,
) -> None:
    thing = make_object()
    number = incident(crew, thing)
    assert told(f"incident/{number}/act-now") == [crew.conservator]
    (mail,) = Message.objects.all()
    assert mail.subject == f"Act now: slip, {thing.object_number}"
    for said in (number, thing.title, "slipped on its mount", "You get this at once because"):
        assert said in mail.body
    assert "/incidents/" in mail.body


def test_an_incident_that_can_wait_is_mailed_to_nobody(crew: Crew) -> None:
    incident(crew, make_object(), act_now=False)
    assert told() == []


def test_whoever_comes_running_is_told_of_the_hazards(crew: Crew) -> None:
    thing = make_object()
    ObjectHazard(museum_object=thing, hazard=Hazard.MERCURY_LIQUID.value, evidence="tested").keep(
        **kept_by()
    )
    incident(crew, thing)
    body = Message.objects.get().body
    assert "keep it upright and over a tray" in body
    assert "does not replace local codes, the safety data sheet" in body


def test_only_those_whose_post_is_live_are_told(crew: Crew) -> None:
    for person in (
        make_person(Role.CONSERVATOR, ends_on=NOW.date() - timedelta(days=1)),
        make_person(Role.CONSERVATOR, email=""),
    ):
        assert person not in told()
    gone = make_person(Role.CONSERVATOR)
    post = gone.roles.get()
    post.until_on = NOW.date() - timedelta(days=1)
    post.keep(**kept_by(), fields=["until_on"])
    deputy = make_person(Role.PHOTOGRAPHER)
    DeputyTerm(
        for_person=crew.conservator,
        deputy=deputy,
        role=Role.CONSERVATOR,
        from_on=NOW.date(),
        until_on=NOW.date(),
    ).keep(**kept_by())
    incident(crew, make_object())
    assert told() == [crew.conservator, deputy]


def test_where_no_conservator_can_be_reached_the_head_of_collections_is_told(crew: Crew) -> None:
    crew.conservator.email = ""
    crew.conservator.keep(**kept_by(), fields=["email"])
    incident(crew, make_object())
    assert told() == [crew.head]


def test_an_object_reported_missing_is_told_to_the_registrars(crew: Crew) -> None:
    thing = make_object()
    number = incident(crew, thing, kind="theft-or-missing", act_now=False)
    assert told(f"incident/{number}/missing") == [crew.registrar]
    assert told() == [crew.registrar]
    assert Message.objects.get().subject == f"Missing: {thing.object_number}"


def look(crew: Crew, verdict: LookVerdict) -> None:
    thing = make_object()
    record_look(
        by=crew.conservator,
        role=Role.CONSERVATOR,
        at=NOW,
        museum_object=thing,
        place=make_place(),
        looked_at=NOW - HOUR,
        verdict=verdict,
        note="A corner has lifted.",
    )


def test_a_look_flagged_act_now_is_told_to_the_conservators(crew: Crew) -> None:
    look(crew, LookVerdict.LOOK_AGAIN)
    assert told() == []
    look(crew, LookVerdict.ACT_NOW)
    assert told("/act-now") == [crew.conservator]
    assert "A corner has lifted." in Message.objects.get().body


def breaks(crew: Crew, row: Requirement, *states: RequirementState) -> None:
    for state in states:
        change_clause(**acting(crew), requirement=row, state=state, why="The logger of N4.")


BROKEN, KEPT = RequirementState.BROKEN, RequirementState.KEPT


def test_a_hard_clause_that_breaks_is_told_to_the_registrars_once(crew: Crew) -> None:
    second = make_person(Role.REGISTRAR)
    row = clause(crew, loan(crew, notice_within_hours=24), clause_ref="7b")
    breaks(crew, row, RequirementState.AT_RISK)
    assert told() == []
    breaks(crew, row, BROKEN, BROKEN)
    assert told("clause/") == [crew.registrar, second]
    body = Message.objects.filter(person=crew.registrar).get().body
    for said in ("45-55 % RH", "The logger of N4.", "within 24 hours"):
        assert said in body


def test_a_clause_that_breaks_anew_is_told_anew(crew: Crew) -> None:
    row = clause(crew, loan(crew))
    breaks(crew, row, BROKEN, KEPT, BROKEN)
    assert told() == [crew.registrar] * 2


def test_a_soft_clause_waits_for_the_morning(crew: Crew) -> None:
    breaks(crew, clause(crew, loan(crew), hard=False), BROKEN)
    assert told() == []


@pytest.fixture
def case(crew: Crew) -> Place:
    """A case in which 50 lx is the ceiling: told from 75 lx on."""
    case = make_case()
    hang(make_face(), make_place(parent=case), opened_at=NOW - timedelta(days=30))
    return case


def read(crew: Crew, case: Place, *values: str) -> list[LightReading]:
    begun = LightReading.objects.count()
    return [
        read_light(
            case, lux, NOW + (begun + n) * HOUR, by=crew.conservator, at=NOW + timedelta(days=2)
        )
        for n, lux in enumerate(values)
    ]


@pytest.mark.parametrize(
    ("readings", "mails"),
    [
        (("74.9",), 0),
        (("75",), 1),
        (("75", "75", "75"), 1),
        (("90", "75", "89"), 1),
        (("75", "90"), 2),
        (("90", "48", "75"), 2),
        (("90", "48", "75", "80", "79"), 3),
    ],
)
def test_light_far_above_the_ceiling_is_told_again_only_when_it_is_worse_or_was_set_right(
    crew: Crew, case: Place, readings: Sequence[str], mails: int
) -> None:
    read(crew, case, *readings)
    assert told("above-ceiling") == [crew.conservator] * mails


def test_an_old_reading_typed_in_after_it_was_set_right_alarms_nobody(
    crew: Crew, case: Place
) -> None:
    read(crew, case, "48")
    read_light(case, "120", NOW - HOUR, by=crew.conservator, at=NOW + timedelta(days=2))
    assert told() == []


def test_a_reading_corrected_upward_is_told_and_one_corrected_downward_is_not_told_again(
    crew: Crew, case: Place
) -> None:
    (low,) = read(crew, case, "48")
    later = NOW + timedelta(days=2)
    said = {"by": crew.conservator, "role": Role.CONSERVATOR, "why": "A digit was left out."}
    high = correct_reading(at=later, reading=low, lux=480, **said)  # type: ignore[arg-type]
    assert told() == [crew.conservator]
    correct_reading(at=later + HOUR, reading=high, lux=90, **said)  # type: ignore[arg-type]
    assert told() == [crew.conservator]
