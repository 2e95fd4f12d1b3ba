"""Moves over rows: made once, journalled with evidence, refused with every reason, taken back."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection

from lifecycle.actions.moves import (
    Overtaken,
    decide_hold,
    end_waiver,
    lift_hold,
    make_move,
    place_hold,
    waive,
)
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.actions.showings import let_stand_alone, plan_place
from lifecycle.actions.strikes import strike_move
from lifecycle.process.moves import onward
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import HoldKind, PlaceKind
from lifecycle.queries.facts import facts_of_one
from lifecycle.queries.showing_story import journal_of, line_of_stages, replay, told
from lifecycle.records.models import JournalEntry, Showing
from tests.builders.core import AT, make_person, make_place
from tests.builders.display import put_at
from tests.builders.locks import locked_rows
from tests.builders.trip import Museum, Trip

R = Role
pytestmark = pytest.mark.django_db


@pytest.fixture
def trip() -> Trip:
    return Trip(Museum())


def taken_in(trip: Trip) -> JournalEntry:
    trip.answer()
    return make_move(showing_id=trip.showing.pk, move="take_in", **trip.conservator)


def codes(refused: pytest.ExceptionInfo[Any]) -> list[str]:
    return [reason.code for reason in refused.value.reasons]


def test_a_free_move_changes_the_stage_and_journals_who_when_and_why(trip: Trip) -> None:
    entry = taken_in(trip)
    showing = trip.row()
    assert showing.stage == Stage.EXAMINATION
    assert (entry.from_stage, entry.to_stage, entry.by) == (
        "selection",
        "examination",
        trip.crew.conservator,
    )
    assert (entry.role, entry.at) == ("conservator", trip.at)
    assert entry.evidence["answer"][0].startswith("yes")
    assert "lx·h left" in entry.evidence["light account"][0]
    latest = showing.history.latest()
    assert (latest.history_user, latest.history_role) == (trip.crew.conservator, "conservator")
    assert latest.history_change_reason == "Take in for examination"


def test_a_blocked_move_says_everything_and_changes_nothing(trip: Trip) -> None:
    trip.hold()
    with pytest.raises(Refused) as refused:
        make_move(showing_id=trip.showing.pk, move="take_in", **trip.conservator)
    assert codes(refused) == ["object.held", "answer.missing"]
    assert trip.row().stage == Stage.SELECTION
    assert trip.row().history.count() == 2  # asked for, and its stage written by the request
    assert trip.showing.journal.count() == 1


@pytest.mark.parametrize(
    ("person", "role"),
    [("curator", R.CURATOR), ("registrar", R.REGISTRAR), ("curator", R.CONSERVATOR)],
)
def test_not_you_is_no_refusal_but_a_closed_door(trip: Trip, person: str, role: Role) -> None:
    trip.answer()
    with pytest.raises(NotAllowed):
        make_move(
            showing_id=trip.showing.pk,
            move="take_in",
            **trip.acts(getattr(trip.crew, person), role),
        )


def test_a_curator_moves_only_what_is_of_their_exhibition(trip: Trip) -> None:
    other = make_person(R.CURATOR)
    with pytest.raises(NotAllowed):
        make_move(
            showing_id=trip.showing.pk, move="withdraw", reason="No.", **trip.acts(other, R.CURATOR)
        )


def test_what_does_not_exist_is_refused_in_words(trip: Trip) -> None:
    with pytest.raises(Refused, match="no move called"):
        make_move(showing_id=trip.showing.pk, move="fly", **trip.conservator)
    with pytest.raises(Refused, match="no such showing"):
        make_move(showing_id=10**9, move="take_in", **trip.conservator)


def test_the_second_person_needs_the_post_they_act_in(trip: Trip) -> None:
    put_at(trip.showing, Stage.READY)
    with pytest.raises(Refused, match="holds no post as technician"):
        make_move(
            showing_id=trip.showing.pk,
            move="install",
            second=trip.crew.registrar,
            second_role=R.TECHNICIAN,
            **trip.conservator,
        )


def test_of_two_people_with_one_page_one_moves_it_and_the_other_is_told(trip: Trip) -> None:
    trip.answer()
    seen = journal_of(trip.row())[-1].uid
    said = {"showing_id": trip.showing.pk, "move": "take_in", "seen": seen}
    make_move(**said, **trip.conservator)  # type: ignore[arg-type]
    with pytest.raises(Overtaken, match="taken in for examination by Marit Oldacre") as refused:
        make_move(**said, **trip.conservator)  # type: ignore[arg-type]
    assert codes(refused) == ["move.overtaken"]
    assert trip.showing.journal.count() == 2
    with pytest.raises(Refused, match="starts from selection") as again:
        make_move(showing_id=trip.showing.pk, move="take_in", **trip.conservator)
    assert codes(again) == ["move.wrong_stage", "move.made"]


def after_first(start: str, then: Callable[[], object]) -> AbstractContextManager[None]:
    """Run ``then`` once, right after the first statement that begins with ``start``."""
    waiting = [then]

    def wrapper(execute: Callable[..., Any], sql: str, *rest: Any) -> Any:
        result = execute(sql, *rest)
        if waiting and sql.startswith(start):
            waiting.pop()()
        return result

    return connection.execute_wrapper(wrapper)


def test_a_move_holds_the_object_first_and_then_its_showing(trip: Trip) -> None:
    """So that two showings of one object wait for each other, always in one order."""
    with locked_rows() as held:
        taken_in(trip)
    assert held[:2] == ["MuseumObject", "Showing"]


def test_a_move_whose_journal_entry_fails_leaves_the_stage_alone(trip: Trip) -> None:
    trip.answer()

    def pull_the_plug() -> None:
        raise OSError("power cut")

    said = trip.conservator
    with (
        after_first('INSERT INTO "records_journalentry"', pull_the_plug),
        pytest.raises(OSError, match="cut"),
    ):
        make_move(showing_id=trip.showing.pk, move="take_in", **said)
    assert trip.row().stage == Stage.SELECTION
    assert trip.showing.journal.count() == 1


def test_a_move_in_error_is_struck_by_its_maker_and_stays_visible(trip: Trip) -> None:
    entry = taken_in(trip)
    struck = strike_move(entry_id=entry.pk, reason="The wrong sheet.", **trip.conservator)
    assert trip.row().stage == Stage.SELECTION
    entries = journal_of(trip.row())
    assert replay(entries) is Stage.SELECTION
    assert "Struck by Marit Oldacre: The wrong sheet." in told(entries)[0].struck
    assert struck.entry == entry
    facts = facts_of_one(trip.row(), trip.at)
    assert [made.move for made in facts.journal] == ["request"]
    make_move(showing_id=trip.showing.pk, move="take_in", **trip.conservator)
    assert trip.row().stage == Stage.EXAMINATION


def test_the_head_of_collections_may_strike_and_nobody_else(trip: Trip) -> None:
    entry = taken_in(trip)
    with pytest.raises(NotAllowed, match="Marit Oldacre"):
        strike_move(entry_id=entry.pk, reason="No.", **trip.registrar)
    strike_move(entry_id=entry.pk, reason="No.", **trip.acts(trip.crew.head, R.HEAD_OF_COLLECTIONS))
    with pytest.raises(Refused, match="struck already"):
        strike_move(entry_id=entry.pk, reason="Again.", **trip.conservator)


def test_only_the_last_move_is_struck_with_a_reason_within_one_working_day(trip: Trip) -> None:
    entry = taken_in(trip)
    asked = trip.showing.journal.order_by("pk")[0]
    with pytest.raises(Refused, match="taken in for examination after that"):
        strike_move(entry_id=asked.pk, reason="x", **trip.curator)
    with pytest.raises(Refused, match="Say why the move is struck"):
        strike_move(entry_id=entry.pk, reason=" ", **trip.conservator)
    trip.tick(days=2)
    with pytest.raises(Refused, match="within one working day"):
        strike_move(entry_id=entry.pk, reason="x", **trip.conservator)
    with pytest.raises(Refused, match="no such move"):
        strike_move(entry_id=10**9, reason="x", **trip.conservator)


def test_a_request_struck_is_off_the_list(trip: Trip) -> None:
    entry = trip.showing.journal.get()
    strike_move(entry_id=entry.pk, reason="Asked twice.", **trip.curator)
    assert trip.row().stage == Stage.WITHDRAWN
    assert replay(journal_of(trip.row())) is Stage.WITHDRAWN
    assert [step.label for step in line_of_stages(trip.row(), journal_of(trip.row()))] == [
        "withdrawn"
    ]


def test_a_waiver_opens_the_gate_for_its_days_and_the_journal_keeps_it(trip: Trip) -> None:
    put_at(trip.showing, Stage.MOUNTING, trip.tick())
    for deed in ("mount", "build_case", "prove", "walk_the_route", "hazards"):
        getattr(trip, deed)()
    trip.deal_with("look.fresh")
    with pytest.raises(Refused) as refused:
        make_move(showing_id=trip.showing.pk, move="declare_ready", **trip.conservator)
    assert codes(refused) == ["caption.open"]
    said = {"showing_id": trip.showing.pk, "code": "caption.open", "about": "", "until": None}
    waive(**said, reason="It comes from the printer tomorrow.", **trip.curator)  # type: ignore[arg-type]
    with pytest.raises(Refused, match=r"waived for .* already"):
        waive(**said, reason="Again.", **trip.curator)  # type: ignore[arg-type]
    entry = make_move(showing_id=trip.showing.pk, move="declare_ready", **trip.conservator)
    assert trip.row().stage == Stage.READY
    assert [(w["code"], w["by"]) for w in entry.waivers] == [("caption.open", "Wen Castellane")]


@pytest.mark.parametrize(
    ("changes", "problem", "words"),
    [
        ({"code": "answer.missing"}, Refused, "always holds"),
        ({"code": "mount.fit", "about": "face 1"}, NotAllowed, "waived by the conservator or head"),
        ({"about": "no such face"}, Refused, "Nothing of this kind"),
        ({"reason": "  "}, Refused, "Say why this is waived"),
        ({"until": AT.date() - timedelta(days=400)}, Refused, "past"),
    ],
)
def test_a_waiver_is_refused_in_words(
    trip: Trip, changes: dict[str, Any], problem: type[Exception], words: str
) -> None:
    said: dict[str, Any] = {"code": "caption.open", "about": "", "reason": "r", "until": None}
    with pytest.raises(problem, match=words):
        waive(showing_id=trip.showing.pk, **(said | changes), **trip.curator)


def test_housing_is_waived_with_a_date_only_and_the_light_by_the_head_only(trip: Trip) -> None:
    """Marit can waive one, until a date, with a name."""
    trip.answer()
    said: dict[str, Any] = {"showing_id": trip.showing.pk, "about": "", "reason": "Box ordered."}
    with pytest.raises(Refused, match="until which day"):
        waive(**said, code="housing.fits", until=None, **trip.conservator)
    given = waive(
        **said, code="housing.fits", until=AT.date() + timedelta(days=9), **trip.conservator
    )
    assert given.text.startswith(trip.thing.object_number)
    with pytest.raises(NotAllowed):
        waive(**said, code="light.proof", until=None, **trip.conservator)
    waive(
        **said, code="light.proof", until=None, **trip.acts(trip.crew.head, R.HEAD_OF_COLLECTIONS)
    )


def test_a_waiver_past_its_day_gives_way_to_a_new_one_and_may_be_ended(trip: Trip) -> None:
    trip.answer()
    said: dict[str, Any] = {"showing_id": trip.showing.pk, "code": "housing.fits", "about": ""}
    first = waive(**said, reason="a", until=trip.at.date(), **trip.conservator)
    trip.tick(days=3)
    second = waive(**said, reason="b", until=trip.at.date() + timedelta(days=3), **trip.conservator)
    first.refresh_from_db()
    assert first.ended_at is not None
    with pytest.raises(Refused, match="Say why"):
        end_waiver(waiver_id=second.pk, reason=" ", **trip.conservator)
    with pytest.raises(NotAllowed):
        end_waiver(waiver_id=second.pk, reason="x", **trip.curator)
    end_waiver(waiver_id=second.pk, reason="The box is here.", **trip.conservator)
    with pytest.raises(Refused, match="ended already"):
        end_waiver(waiver_id=second.pk, reason="x", **trip.conservator)
    with pytest.raises(Refused, match="no such waiver"):
        end_waiver(waiver_id=10**9, reason="x", **trip.conservator)


def test_a_hold_follows_the_object_until_a_written_decision(trip: Trip) -> None:
    said: dict[str, Any] = {"object_id": trip.thing.pk, "kind": HoldKind.CHANGE_FOUND}
    with pytest.raises(Refused, match="Say why"):
        place_hold(**said, reason=" ", **trip.registrar)
    hold = place_hold(**said, reason="A split at the fold.", showing=trip.row(), **trip.registrar)
    other = Trip(trip.museum, like=trip, exhibition=trip.museum.another_exhibition())
    assert [h.uid for h in facts_of_one(other.row(), other.at).object.holds] == [str(hold.uid)]
    stranger = Trip(trip.museum, place=1)
    with pytest.raises(Refused, match="is not a showing of"):
        place_hold(**said, reason="x", showing=stranger.row(), **trip.registrar)
    with pytest.raises(NotAllowed):
        lift_hold(hold_id=hold.pk, decision="Fine.", **trip.registrar)
    with pytest.raises(Refused, match="Write the decision"):
        lift_hold(hold_id=hold.pk, decision=" ", **trip.conservator)
    decide_hold(hold_id=hold.pk, decision="Mend it.", asks_treatment=True, **trip.conservator)
    assert facts_of_one(trip.row(), trip.at).object.holds[0].asks_treatment
    lift_hold(
        hold_id=hold.pk, decision="Mended.", **trip.acts(trip.crew.head, R.HEAD_OF_COLLECTIONS)
    )
    assert facts_of_one(trip.row(), trip.at).object.holds == ()
    with pytest.raises(Refused, match="lifted on"):
        lift_hold(hold_id=hold.pk, decision="x", **trip.conservator)
    with pytest.raises(Refused, match="no such hold"):
        lift_hold(hold_id=10**9, decision="x", **trip.conservator)


def test_a_position_is_planned_until_the_object_hangs(trip: Trip) -> None:
    shelf = make_place(kind=PlaceKind.SHELF, closed_on=AT.date())
    with pytest.raises(Refused) as refused:
        plan_place(showing_id=trip.showing.pk, place=shelf, **trip.registrar)
    assert codes(refused) == ["place.kind", "place.closed"]
    put_at(trip.showing, Stage.ON_DISPLAY)
    with pytest.raises(Refused, match="has been installed"):
        plan_place(showing_id=trip.showing.pk, place=trip.museum.positions[1], **trip.registrar)
    with pytest.raises(Refused, match="Say why"):
        let_stand_alone(showing_id=trip.showing.pk, note=" ", **trip.curator)


def test_the_whole_way_home_and_its_story(trip: Trip) -> None:
    """From the request to the object back in store, each reason dealt with when it is given."""
    for _ in range(60):
        facts = trip.facts()
        move = onward(facts)
        if move is None:
            break
        left = [b for b in move.blockers(facts) if not b.code.startswith(("install.", "takedown."))]
        if left:
            assert trip.deal_with(left[0].code), left[0]
        else:
            trip.move(move.name)
    entries = journal_of(trip.row())
    assert [entry.move for entry in entries] == [
        "request",
        "take_in",
        "no_treatment_needed",
        "declare_ready",
        "install",
        "take_down",
        "pass_check",
        "send_home",
    ]
    assert replay(entries) is Stage.RETURNED
    assert trip.row().resting_until is not None
    steps = line_of_stages(trip.row(), entries)
    assert [(s.label, s.state) for s in steps][-1] == ("returned", "here")
    assert [s.state for s in steps if s.label == "treatment"] == ["ahead"]
    assert Showing.objects.get(pk=trip.showing.pk).museum_object.current_location is not None
