"""Duties while the object is on display: readings, looks, turns, days in hand, housing ahead."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from typing import Final

from lifecycle.process.days import day_words, in_hand_words
from lifecycle.process.duties.duty import Duty
from lifecycle.process.duties.onward import make
from lifecycle.process.facts.display import OnShow
from lifecycle.process.facts.showing import ShowingFacts
from lifecycle.process.gates.leaving import housing_fits
from lifecycle.process.offsets import HOUSED
from lifecycle.process.readiness import due_of
from lifecycle.process.stages import Role, Stage

WALKERS: Final = frozenset({Role.TECHNICIAN, Role.ATTENDANT})
SHOWN: Final = frozenset({Stage.ON_DISPLAY, Stage.ROTATION})


def _names(people: tuple[str, ...]) -> str:
    return " and ".join(people) or "nobody"


def reading_due(facts: ShowingFacts) -> Iterator[Duty]:
    """A task of the case: its key names the place, so that it stands once for all inside."""
    watch = facts.light.watch
    due = watch.reading_due
    if facts.stage in SHOWN and due is not None and (due - facts.today).days <= 7:
        duty = make(
            facts,
            rule="reading",
            code="light.reading",
            text=f"Read lux and UV at {watch.place}.",
            why="Due by the house rules.",
            role=Role.CONSERVATOR,
            due_on=due,
            occurrence=watch.last_reading,
            also=WALKERS,
            subject_uid=watch.place_uid,
        )
        yield _of_place(duty, watch.place_uid)


def look_due(facts: ShowingFacts) -> Iterator[Duty]:
    watch = facts.light.watch
    due = watch.look_due
    if facts.stage in SHOWN and due is not None and (due - facts.today).days <= 7:
        yield make(
            facts,
            rule="look",
            code="look.due",
            text=f"Look at {facts.object.number} in {watch.place}.",
            why="Due by the house rules.",
            role=Role.CONSERVATOR,
            due_on=due,
            occurrence=watch.last_look,
            also=WALKERS,
            subject_uid=watch.place_uid,
        )


def _of_place(duty: Duty, place_uid: str) -> Duty:
    rule, _, occurrence = duty.key.split(":", 2)
    return replace(duty, key=f"{rule}:{place_uid}:{occurrence}")


def flag_to_answer(facts: ShowingFacts) -> Iterator[Duty]:
    for flag in facts.light.flags:
        now = flag.act_now
        yield make(
            facts,
            rule="flag",
            code="look.flag",
            text=(
                f"Attend to {facts.object.number} now."
                if now
                else f"Answer the flag on {facts.object.number}: look again."
            ),
            why=f"Flagged on {day_words(flag.flagged_on)} by {flag.by or 'a walker'}.",
            role=Role.CONSERVATOR,
            due_on=flag.answer_due,
            hard=now,
            stopped=now,
            occurrence=flag.uid,
            subject_uid=flag.uid,
        )


def turns(facts: ShowingFacts) -> Iterator[Duty]:
    """A turn that is near, one that has lost its people, and one past its last day."""
    number = facts.object.number
    for turn in facts.display.appointments:
        if turn.done or turn.kind not in (OnShow.TURN, OnShow.SWAP):
            continue
        days = (turn.day - facts.today).days
        what = (
            f"turn to {turn.to_face}" if turn.kind is OnShow.TURN else f"swap for {turn.swap_for}"
        )
        if len(turn.people) < 2 and days <= 14:
            yield make(
                facts,
                rule="turn-people",
                code="turn.people",
                text=f"Name two people for the {what} of {number}.",
                why=f"It is planned for {day_words(turn.day)} and has lost its people.",
                role=Role.REGISTRAR,
                due_on=turn.day - timedelta(days=3),
                hard=True,
                occurrence=turn.occurrence,
                subject_uid=turn.uid,
            )
        if days <= 14 and facts.stage is Stage.ON_DISPLAY:
            yield make(
                facts,
                rule="turn",
                code="move.start_rotation",
                text=f"Make the {what} of {number}.",
                why=f"Planned with {_names(turn.people)}. {turn.reason}".rstrip(),
                role=Role.CONSERVATOR,
                due_on=turn.day,
                hard=True,
                people=turn.people_ids,
                occurrence=turn.occurrence,
                subject_uid=turn.uid,
            )
        last = turn.last_day
        past = last is not None and facts.today > last and not _overridden_since(facts, last)
        if past and facts.stage in SHOWN:
            yield make(
                facts,
                rule="turn-late",
                code="turn.late",
                text=f"{number} is past its last day: turn, cover, take off show, or override.",
                why="That was the last day of the face shown.",
                role=Role.HEAD_OF_COLLECTIONS,
                due_on=last,
                hard=True,
                stopped=True,
                occurrence=turn.occurrence,
                subject_uid=turn.uid,
            )


def turn_to_plan(facts: ShowingFacts) -> Iterator[Duty]:
    """A plan with a second face asks for a turn; three weeks before it is due, if none is set."""
    shown = facts.display.face_shown
    later = [
        face
        for face in facts.faces
        if face.face_id != shown and face.from_on is not None and face.from_on > facts.today
    ]
    planned = {a.to_face_id for a in facts.display.appointments}
    for face in later if facts.stage in SHOWN else ():
        if face.face_id in planned or face.from_on is None:
            continue
        yield make(
            facts,
            rule="turn-plan",
            code="turn.plan",
            text=f"Plan the turn of {facts.object.number} to {face.label}: day and two people.",
            why=f"The plan shows {face.label} from {day_words(face.from_on)}.",
            role=Role.REGISTRAR,
            due_on=face.from_on - timedelta(weeks=3),
            about=face.label,
            occurrence=str(face.face_id),
        )


def _overridden_since(facts: ShowingFacts, last_day: date) -> bool:
    answer = facts.answer
    return answer is not None and answer.override_by_head and answer.on > last_day


def days_in_hand(facts: ShowingFacts) -> Iterator[Duty]:
    """One task, at once, for more people the less is left; whoever has it keeps it.

    Below 21 days the conservator, below 7 the manager of the exhibition too, at 0 the head of
    collections too. Once the last day is past it is an exception of the head of collections, until
    the light account is overridden by name after that day. Its key changes with the step, so that
    what was put off comes back when it got worse.
    """
    shown = facts.display.face_shown
    line = facts.light.of(shown) if shown is not None else None
    if facts.stage not in SHOWN or line is None or line.days_in_hand is None:
        return
    left = line.days_in_hand
    if left >= 21 or line.last_day is None:
        return
    also = {Role.EXHIBITION_MANAGER} if left < 7 else set()
    also |= {Role.HEAD_OF_COLLECTIONS} if left <= 0 else set()
    label = next((f.label for f in facts.faces if f.face_id == shown), "the face shown")
    past = line.last_day < facts.today
    if past and _overridden_since(facts, line.last_day):
        return
    text = f"{facts.object.number}, {label}: {in_hand_words(left)}. Turn, cover or dim."
    if past:
        also = {Role.CONSERVATOR, Role.EXHIBITION_MANAGER}
        text = (
            f"{facts.object.number}, {label} is past its last day: turn, cover, take off show, or "
            "override it by name."
        )
    yield make(
        facts,
        rule="in-hand",
        code="light.account",
        text=text,
        why=f"Its last day in this light {'was' if past else 'is'} {day_words(line.last_day)}.",
        role=Role.HEAD_OF_COLLECTIONS if past else Role.CONSERVATOR,
        also=frozenset(also),
        due_on=min(line.last_day, facts.today),
        hard=True,
        stopped=past,
        occurrence=f"{shown}/{'past' if past else '0' if left <= 0 else '7' if left < 7 else '21'}",
        days_in_hand=left,
    )


def housing_to_make(facts: ShowingFacts) -> Iterator[Duty]:
    """From the day of its gate, 28 days before closing; 'send home' says the same later.

    It is asked on that day, so that it stands in the next letters whatever presses more.
    """
    opens = due_of("housing.fits", facts)
    if facts.stage not in SHOWN or opens is None or facts.today < opens:
        return
    for blocker in housing_fits(facts):
        if facts.waiver_of(blocker.code, blocker.about) is None:
            yield make(
                facts,
                rule="housing",
                code="housing.fits",
                text=blocker.text,
                why=f"The exhibition closes on {day_words(facts.exhibition.closes)}.",
                role=Role.CONSERVATOR,
                due_on=HOUSED.before_day(facts.exhibition.closes, facts.rules),
                about=blocker.about,
                occurrence=blocker.about,
                asked_on=opens,
            )
