"""Duties that stand before the next move: its blockers, or the word to make it."""

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Final

from lifecycle.process.days import day_words
from lifecycle.process.duties.duty import Duty
from lifecycle.process.facts.display import OnShow
from lifecycle.process.facts.showing import ShowingFacts
from lifecycle.process.gates.blocker import Blocker
from lifecycle.process.gates.preparing import hidden_faces_have_facsimiles, imaging_is_accepted
from lifecycle.process.links import install_day
from lifecycle.process.move import Move, first_role
from lifecycle.process.moves import onward
from lifecycle.process.readiness import due_of, slip_is_planned
from lifecycle.process.stages import Role, Stage
from lifecycle.process.switches import Switch
from lifecycle.process.working_days import working_days_after

SEEN_BY_RULES: Final = frozenset(
    {
        "object.held",
        "consent.missing",
        "consent.unanswered",
        "treatment.deviation",
        "finding.asked",
        "part_a.countersign",
        "part_a.missing",
        "report.unsigned",
        "paper.out",
        "incident.open",
        "turn.planned",
        "movement.arrival",
    }
)
"""Codes for which a rule of its own makes the task, with its own day and people."""

DECISION_DAYS: Final = 10
BENCH_DAYS: Final = 10
HOUSED_DAYS: Final = 5

SLIP_NOTICE: Final = timedelta(days=14)
"""How long before its day a movement is on Today for an object not ready yet: our own default."""


def before_the_next_move(facts: ShowingFacts) -> Iterator[Duty]:
    """Yield one duty per blocker of the move onward, or one that says: make it."""
    move = onward(facts)
    if move is None or not _pressing(move, facts):
        return
    if move.name in ("install", "start_rotation", "take_down"):
        yield from _gallery_day(move, facts)
        return
    blockers = move.blockers(facts)
    for blocker in blockers:
        if blocker.code not in SEEN_BY_RULES:
            yield of_blocker(blocker, facts, why=f"Before “{move.label.lower()}”.")
    if not blockers:
        yield of_move(move, facts)


def _pressing(move: Move, facts: ShowingFacts) -> bool:
    """On display nothing presses until a turn is near or the end is."""
    if move.name == "start_rotation":
        turn = facts.display.next_turn()
        return turn is not None and (turn.day - facts.today).days <= 14
    if move.name == "take_down":
        return (last_day_shown(facts) - facts.today).days <= 7
    return True


def last_day_shown(facts: ShowingFacts) -> date:
    """Return the last day of this showing in the gallery, the loan's end included."""
    loan = facts.home.loan
    ends = [facts.request.show_to, facts.exhibition.closes]
    if loan is not None and loan.ends_on is not None:
        ends.append(loan.ends_on)
    return min(ends)


def _gallery_day(move: Move, facts: ShowingFacts) -> Iterator[Duty]:
    """One duty for the day in the gallery; its evidence is written there and then."""
    if move.name == "start_rotation":
        return
    kind = OnShow.INSTALL if move.name == "install" else OnShow.TAKE_DOWN
    planned = facts.display.planned(kind)
    due = install_day(facts) if move.name == "install" else last_day_shown(facts)
    if planned is None:
        yield make(
            facts,
            rule=f"plan-{move.name}",
            code=f"plan.{move.name}",
            text=f"Plan the day and two people: {move.label.lower()} {facts.object.number}.",
            why=f"No day is planned; it should be done by {day_words(due)}.",
            role=Role.REGISTRAR,
            due_on=due - timedelta(days=14) if move.name == "install" else due,
            occurrence=str(len(facts.journal)),
        )
        return
    yield make(
        facts,
        rule=move.name,
        code=f"move.{move.name}",
        text=f"{move.label} {facts.object.number} in {facts.place or 'its place'}.",
        why=f"Planned with {' and '.join(planned.people) or 'nobody'}.",
        role=Role.CONSERVATOR,
        due_on=planned.day,
        hard=True,
        people=planned.people_ids,
        occurrence=planned.occurrence,
        subject_uid=planned.uid,
    )


def of_blocker(blocker: Blocker, facts: ShowingFacts, *, why: str) -> Duty:
    # The gates count back from the install, which was long before what is done as aftercare.
    after = facts.stage is Stage.TREATMENT and facts.aftercare
    gate_day = None if after else due_of(blocker.code, facts, blocker.about)
    return make(
        facts,
        rule=blocker.code,
        code=blocker.code,
        text=blocker.text,
        why=why,
        role=blocker.role,
        due_on=gate_day or _due_at_stage(facts),
        hard=facts.stage in (Stage.DEINSTALL_CHECK, Stage.ROTATION),
        people=_named(blocker, facts),
        about=blocker.about,
        occurrence=f"{blocker.about}/{len(facts.journal)}",
    )


def of_move(move: Move, facts: ShowingFacts) -> Duty:
    return make(
        facts,
        rule=f"move.{move.name}",
        code=f"move.{move.name}",
        text=f"{move.label}: nothing stands in the way of {facts.object.number}.",
        why="Every gate is met or waived.",
        role=first_role(move.roles),
        due_on=_due_at_stage(facts),
        occurrence=str(len(facts.journal)),
    )


def make(
    facts: ShowingFacts,
    *,
    rule: str,
    code: str,
    text: str,
    why: str,
    role: Role,
    occurrence: str,
    due_on: date | None = None,
    hard: bool = False,
    stopped: bool = False,
    people: frozenset[int] = frozenset(),
    about: str = "",
    subject_uid: str = "",
    days_in_hand: int | None = None,
    also: frozenset[Role] = frozenset(),
    asked_on: date | None = None,
) -> Duty:
    """Return a duty about this showing, with its names filled in."""
    if days_in_hand is None and due_on is not None:
        days_in_hand = (due_on - facts.today).days
    return Duty(
        key=f"{rule}:{facts.showing_no}:{occurrence}",
        code=code,
        text=text,
        why=why,
        role=role,
        also=also,
        due_on=due_on,
        hard=hard,
        stopped=stopped,
        days_in_hand=days_in_hand,
        people=people,
        about=about,
        object_number=facts.object.number,
        title=facts.object.title,
        exhibition=facts.exhibition.title,
        showing_uid=facts.uid,
        showing_id=facts.showing_id,
        subject_uid=subject_uid,
        asked_on=asked_on,
    )


def pictures_asked(facts: ShowingFacts) -> Iterator[Duty]:
    """Pictures that were asked for stand on Today at every stage, not only before 'declare ready'.

    Those of an object in treatment, or of one that hangs, are nobody's gate just then and late all
    the same. A waived one is asked of nobody, nor is any in a house without that gate.
    """
    if Switch.IMAGING in facts.rules.off:
        return
    for blocker in imaging_is_accepted(facts):
        if facts.waiver_of(blocker.code, blocker.about) is None:
            yield of_blocker(blocker, facts, why="Asked for, whatever the object waits for now.")


def facsimiles_in_hand(facts: ShowingFacts) -> Iterator[Duty]:
    """A facsimile stands on the Today of whoever makes it until it is delivered.

    That its proof is seen and approved is the curator's, and stands there for itself.
    """
    if Switch.FACSIMILES in facts.rules.off:
        return
    for blocker in hidden_faces_have_facsimiles(facts):
        face = next(face for face in facts.faces if face.label == blocker.about)
        copy = facts.preparation.facsimile_of(face.face_id)
        waived = facts.waiver_of(blocker.code, blocker.about) is not None
        if copy is None or copy.person_id is None or waived:
            continue
        yield make(
            facts,
            rule="facsimile.make",
            code=blocker.code,
            text=f"Make {copy.number}, the facsimile of {facts.object.number}, {face.label}.",
            why="Its proof is approved." if copy.approved else "It was asked of you.",
            role=Role.PHOTOGRAPHER,
            due_on=due_of(blocker.code, facts, blocker.about),
            people=frozenset({copy.person_id}),
            about=blocker.about,
            occurrence=copy.number,
        )


def slip_to_plan(facts: ShowingFacts) -> Iterator[Duty]:
    """The movement to its place, which no move but install asks for, and then as received.

    Once the object is ready; before that when its day is near, late as the rest may be.
    """
    if Switch.ROUTES in facts.rules.off:
        return
    for blocker in slip_is_planned(facts):
        due = due_of(blocker.code, facts)
        near = due is not None and due - facts.today <= SLIP_NOTICE
        if facts.stage is Stage.READY or near:
            yield of_blocker(blocker, facts, why="Its slip travels with it on the day of install.")


def _named(blocker: Blocker, facts: ShowingFacts) -> frozenset[int]:
    """People who have the work in hand, and who waits for it; they are told, and nobody else."""
    if blocker.code == "imaging.open":
        jobs = [job for job in facts.preparation.imaging if job.job_no == blocker.about]
        return frozenset(
            person
            for job in jobs
            if job.person_id is not None
            for person in (job.person_id, job.for_whom_id)
            if person is not None
        )
    return frozenset()


def _due_at_stage(facts: ShowingFacts) -> date | None:
    """Return the day a stage should be over where no gate sets one."""
    last = facts.journal[-1].at.date() if facts.journal else facts.today
    off = facts.rules.days_off
    if facts.stage is Stage.SELECTION:
        return working_days_after(last, DECISION_DAYS, off)
    if facts.stage is Stage.EXAMINATION:
        return install_day(facts) - timedelta(weeks=12)
    if facts.stage is Stage.TREATMENT and not facts.aftercare:
        return install_day(facts) - timedelta(weeks=5)
    if facts.stage is Stage.MOUNTING:
        return install_day(facts) - timedelta(days=1)
    if facts.stage is Stage.ROTATION:
        return last
    if facts.stage is Stage.DEINSTALL_CHECK:
        return working_days_after(last, BENCH_DAYS, off)
    return working_days_after(last, HOUSED_DAYS, off)
