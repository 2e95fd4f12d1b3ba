"""Days in hand: whose task they become as they shrink, and when they are nobody's."""

from datetime import timedelta

import pytest

from lifecycle.process.facts.light import FaceLight, ShowingLight
from lifecycle.process.facts.showing import AnswerFacts
from lifecycle.process.stages import Role
from lifecycle.process.words import Answer
from tests.process.lawful import A
from tests.process.test_duties import TODAY, R, by_code, codes, shown


@pytest.mark.parametrize(
    ("left", "also", "step"),
    [
        (20, set(), "21"),
        (7, set(), "21"),
        (6, {R.EXHIBITION_MANAGER}, "7"),
        (1, {R.EXHIBITION_MANAGER}, "7"),
        (0, {R.EXHIBITION_MANAGER, R.HEAD_OF_COLLECTIONS}, "0"),
    ],
)
def test_days_in_hand_go_up_the_ladder_and_everybody_below_keeps_the_task(
    left: int, also: set[Role], step: str
) -> None:
    """Our own steps: below 21, 7, 0; at once. The conservator has it at every step."""
    line = FaceLight(face_id=A, days_in_hand=left, last_day=TODAY + timedelta(days=left))
    duty = by_code(shown(light=ShowingLight(faces=(line,))), "light.account")
    assert (duty.role, set(duty.also), duty.stopped) == (R.CONSERVATOR, also, False)
    assert (duty.days_in_hand, duty.due_on) == (left, TODAY + timedelta(days=min(left, 0)))
    assert duty.key.endswith(f"/{step}")


def test_past_its_last_day_it_is_an_exception_of_the_head_until_it_is_overridden_by_name() -> None:
    """After the last permissible day, an exception for the head of collections."""
    light = ShowingLight(
        faces=(FaceLight(face_id=A, days_in_hand=-2, last_day=TODAY - timedelta(days=2)),)
    )
    duty = by_code(shown(light=light), "light.account")
    assert (duty.role, duty.stopped) == (R.HEAD_OF_COLLECTIONS, True)
    assert set(duty.also) == {R.CONSERVATOR, R.EXHIBITION_MANAGER}
    assert "override it by name" in duty.text
    assert duty.key.endswith("/past")
    for on, code in ((TODAY - timedelta(days=1), set()), (TODAY - timedelta(days=2), {duty.code})):
        above = AnswerFacts(
            answer=Answer.YES, on=on, stored=True, override="jubilee", override_by_head=True
        )
        assert codes(shown(light=light, answer=above)) == code


def test_days_in_hand_are_silent_from_three_weeks_on_or_without_an_answer() -> None:
    for line in (
        FaceLight(face_id=A, days_in_hand=21, last_day=TODAY),
        FaceLight(face_id=A, days_in_hand=3),
        FaceLight(face_id=A),
        FaceLight(face_id=77, days_in_hand=3, last_day=TODAY),
    ):
        assert codes(shown(light=ShowingLight(faces=(line,)))) == set()
    assert codes(shown(display__face_shown=None)) == set()
