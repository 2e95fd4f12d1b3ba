"""Asking for an object, answering with figures, override and decline."""

from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

import pytest

from lifecycle.actions.display.answering import answer_request, decline, override_answer
from lifecycle.actions.display.requesting import AlternativeAsked, FaceAsked, Wish, ask_for
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import Answer
from lifecycle.records.models import (
    Exhibition,
    FaceWanted,
    JournalEntry,
    MuseumObject,
    RequestAnswer,
    Showing,
    Vocabulary,
)
from tests.builders.core import make_exhibition, make_face, make_object, make_person, make_word
from tests.builders.display import Crew, make_crew

pytestmark = pytest.mark.django_db
IN_TIME = datetime(2025, 8, 1, 9, 0, tzinfo=UTC)
OPENS, CLOSES = date(2026, 3, 14), date(2026, 9, 6)


def own_exhibition(crew: Crew) -> Exhibition:
    exhibition = make_exhibition()
    exhibition.curators.add(crew.curator)
    return exhibition


def wish(*faces: FaceAsked, **values: Any) -> Wish:
    values.setdefault("reason", "It shows how the weather was watched.")
    values.setdefault("alternatives", [AlternativeAsked(text="another sheet")])
    return Wish(faces=faces, show_from=OPENS, show_to=CLOSES, **values)


def whole_run(thing: MuseumObject) -> FaceAsked:
    return FaceAsked(face=make_face(thing), from_on=OPENS, until_on=CLOSES)


def ask(crew: Crew, exhibition: Exhibition, thing: MuseumObject, said: Wish, **who: Any) -> Showing:
    who.setdefault("by", crew.curator)
    who.setdefault("role", Role.CURATOR)
    who.setdefault("at", IN_TIME)
    return ask_for(exhibition=exhibition, museum_object=thing, wish=said, **who)


def codes(refused: pytest.ExceptionInfo[Refused]) -> set[str]:
    return {reason.code for reason in refused.value.reasons}


def test_a_request_names_faces_in_order_and_begins_at_selection() -> None:
    crew, thing = make_crew(), make_object()
    first = FaceAsked(face=make_face(thing), from_on=OPENS, until_on=date(2026, 6, 7))
    second = FaceAsked(face=make_face(thing), from_on=date(2026, 6, 8), until_on=CLOSES)
    showing = ask(crew, own_exhibition(crew), thing, wish(first, second))
    assert (showing.stage, showing.asked_by) == (Stage.SELECTION, crew.curator)
    rows = FaceWanted.objects.filter(showing=showing).order_by("order")
    assert [row.face for row in rows] == [first.face, second.face]
    entry = JournalEntry.objects.get(showing=showing)
    assert (entry.move, entry.from_stage, entry.to_stage) == ("request", "", "selection")


def test_faces_that_overlap_or_leave_the_days_are_refused_beside_the_faces() -> None:
    crew, thing = make_crew(), make_object()
    first = FaceAsked(face=make_face(thing), from_on=OPENS, until_on=date(2026, 6, 8))
    second = FaceAsked(face=make_face(thing), from_on=date(2026, 6, 8), until_on=CLOSES)
    early = FaceAsked(face=make_face(thing), from_on=date(2026, 3, 1), until_on=date(2026, 3, 20))
    exhibition = own_exhibition(crew)
    for faces, code in (((first, second), "request.face_order"), ((early,), "request.face_dates")):
        with pytest.raises(Refused) as refused:
            ask(crew, exhibition, thing, wish(*faces))
        assert code in codes(refused)
        assert {reason.field for reason in refused.value.reasons} == {"faces"}
    assert not Showing.objects.exists()


def test_a_face_of_another_object_is_refused() -> None:
    crew, thing = make_crew(), make_object()
    stranger = replace(whole_run(thing), face=make_face())
    with pytest.raises(Refused, match="is no face of"):
        ask(crew, own_exhibition(crew), thing, wish(stranger))


def test_a_late_request_needs_a_note_and_counts_the_days() -> None:
    crew, thing = make_crew(), make_object()
    exhibition, asked = own_exhibition(crew), whole_run(thing)
    late = datetime(2025, 9, 15, 9, 0, tzinfo=UTC)  # install 2 March 2026 less 26 weeks: 1 Sept
    with pytest.raises(Refused, match="14 days later than the rule asks") as refused:
        ask(crew, exhibition, thing, wish(asked), at=late)
    assert codes(refused) == {"request.late"}
    showing = ask(crew, exhibition, thing, wish(asked, late_note="The loan fell through."), at=late)
    assert showing.late_note == "The loan fell through."


def test_the_last_day_in_time_needs_no_note() -> None:
    crew, thing = make_crew(), make_object()
    on_the_day = datetime(2025, 9, 1, 9, 0, tzinfo=UTC)
    assert ask(crew, own_exhibition(crew), thing, wish(whole_run(thing)), at=on_the_day).pk


def test_an_object_asked_for_by_two_exhibitions_shows_both_dates_first() -> None:
    crew, thing = make_crew(), make_object()
    ask(crew, own_exhibition(crew), thing, wish(whole_run(thing)))
    other = own_exhibition(crew)
    with pytest.raises(Refused, match=r"Sat 14 Mar 2026 to Sun 6 Sep 2026"):
        ask(crew, other, thing, wish(whole_run(thing)))
    second = ask(crew, other, thing, wish(whole_run(thing), duplicates_seen=True))
    assert second.exhibition == other
    assert thing.showings.count() == 2


def test_the_same_exhibition_does_not_ask_twice_for_one_object() -> None:
    crew, thing = make_crew(), make_object()
    exhibition = own_exhibition(crew)
    ask(crew, exhibition, thing, wish(whole_run(thing)))
    with pytest.raises(Refused) as refused:
        ask(crew, exhibition, thing, wish(whole_run(thing), duplicates_seen=True))
    assert codes(refused) == {"request.same_exhibition"}


def test_alternatives_are_asked_at_once_or_said_to_be_none() -> None:
    crew, thing = make_crew(), make_object()
    exhibition, asked = own_exhibition(crew), whole_run(thing)
    with pytest.raises(Refused) as refused:
        ask(crew, exhibition, thing, wish(asked, alternatives=[]))
    assert "request.alternatives" in codes(refused)
    none = wish(asked, alternatives=[], no_alternative_because="The only copy.")
    assert ask(crew, exhibition, thing, none).no_alternative_because == "The only copy."


@pytest.mark.parametrize(
    "role", [Role.CONSERVATOR, Role.REGISTRAR, Role.TECHNICIAN, Role.STEWARD, Role.ATTENDANT]
)
def test_only_a_curator_asks(role: Role) -> None:
    crew, thing = make_crew(), make_object()
    with pytest.raises(NotAllowed):
        ask(
            crew,
            own_exhibition(crew),
            thing,
            wish(whole_run(thing)),
            by=make_person(role),
            role=role,
        )


def test_a_curator_asks_for_the_own_exhibition_only() -> None:
    crew, thing = make_crew(), make_object()
    with pytest.raises(NotAllowed):
        ask(crew, make_exhibition(), thing, wish(whole_run(thing)))


def asked_for(crew: Crew) -> Showing:
    thing = make_object()
    return ask(crew, own_exhibition(crew), thing, wish(whole_run(thing)))


def answer(crew: Crew, showing: Showing, said: Answer, **values: Any) -> RequestAnswer:
    values.setdefault("because", "The account allows it.")
    return answer_request(
        by=crew.conservator,
        role=Role.CONSERVATOR,
        at=IN_TIME,
        showing=showing,
        answer=said,
        **values,
    )


def test_an_answer_keeps_the_figures_it_was_given_from() -> None:
    crew = make_crew()
    given = answer(crew, asked_for(crew), Answer.YES)
    assert given.inputs
    assert given.rules_version == 3
    assert (given.by, given.role) == (crew.conservator, Role.CONSERVATOR)


def test_a_no_needs_grounds_and_its_day_lies_ahead() -> None:
    crew = make_crew()
    showing = asked_for(crew)
    make_word(Vocabulary.GROUND, "light-budget", "light account")
    with pytest.raises(Refused, match="at least one ground"):
        answer(crew, showing, Answer.NO)
    with pytest.raises(Refused, match="earliest day has come already"):
        answer(
            crew,
            showing,
            Answer.NO_UNTIL,
            grounds=["light-budget"],
            earliest=date(2025, 7, 1),
        )
    with pytest.raises(Refused, match="not in the list of grounds"):
        answer(crew, showing, Answer.NO, grounds=["whim"])
    given = answer(
        crew, showing, Answer.NO_UNTIL, grounds=["light-budget"], earliest=date(2031, 3, 7)
    )
    assert given.earliest == date(2031, 3, 7)
    assert given.grounds == [{"code": "light-budget", "label": "light account"}]


def test_conditions_are_written_down() -> None:
    crew = make_crew()
    with pytest.raises(Refused, match="Write down the conditions"):
        answer(crew, asked_for(crew), Answer.YES_WITH_CONDITIONS)


def test_only_a_conservator_answers() -> None:
    crew = make_crew()
    showing = asked_for(crew)
    with pytest.raises(NotAllowed):
        answer_request(
            by=crew.curator,
            role=Role.CURATOR,
            at=IN_TIME,
            showing=showing,
            answer=Answer.YES,
            because="I want it.",
        )


def test_an_override_is_the_head_of_collections_by_name_after_an_answer() -> None:
    crew = make_crew()
    showing = asked_for(crew)
    said: dict[str, Any] = {
        "by": crew.head,
        "role": Role.HEAD_OF_COLLECTIONS,
        "at": IN_TIME,
        "showing": showing,
        "answer": Answer.YES,
    }
    with pytest.raises(Refused, match="A conservator answers first"):
        override_answer(**said, reason="The anniversary.")
    make_word(Vocabulary.GROUND, "light-budget")
    answer(crew, showing, Answer.NO, grounds=["light-budget"])
    with pytest.raises(Refused, match="needs its reason"):
        override_answer(**said, reason=" ")
    with pytest.raises(NotAllowed):
        override_answer(**(said | {"by": crew.curator, "role": Role.CURATOR}), reason="I want it.")
    given = override_answer(**said, reason="The anniversary.")
    assert (given.override_by, given.override_reason) == (crew.head, "The anniversary.")


@pytest.mark.parametrize("role", [Role.CONSERVATOR, Role.CURATOR])
def test_declining_ends_the_showing_with_grounds_and_inputs(role: Role) -> None:
    crew = make_crew()
    showing = asked_for(crew)
    make_word(Vocabulary.GROUND, "weak-structure")
    decline(
        by=crew.conservator if role is Role.CONSERVATOR else crew.curator,
        role=role,
        at=IN_TIME,
        showing=showing,
        grounds=["weak-structure"],
        because="The spine does not hold.",
        offered="The facsimile.",
    )
    assert Showing.objects.get(pk=showing.pk).stage == Stage.DECLINED
    kept = RequestAnswer.objects.get(showing=showing)
    assert kept.offered == "The facsimile."
    assert kept.inputs


def test_a_decline_without_grounds_changes_nothing() -> None:
    crew = make_crew()
    showing = asked_for(crew)
    with pytest.raises(Refused, match="ground"):
        decline(
            by=crew.curator,
            role=Role.CURATOR,
            at=IN_TIME,
            showing=showing,
            grounds=[],
            because="No.",
        )
    assert Showing.objects.get(pk=showing.pk).stage == Stage.SELECTION
    assert not RequestAnswer.objects.exists()
