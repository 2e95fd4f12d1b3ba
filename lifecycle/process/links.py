"""What a gate still waits for, thing by thing: whose it is, by when it is needed, how late it is.

A support or a facsimile belongs to one face and is worked back from the day that face goes on show
or is hidden. Before the object hangs, its move to 'ready' asks for all of them, so that the
install may ask earlier; once it hangs, only what a coming turn needs still presses.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from lifecycle.process.facts.display import OnShow
from lifecycle.process.facts.showing import ShowingFacts
from lifecycle.process.gates.blocker import Blocker
from lifecycle.process.stages import BEFORE_DISPLAY, Stage
from lifecycle.process.treatment_days import consent_needed
from lifecycle.process.worked_back import (
    Lead,
    Period,
    facsimile_due,
    hidden_in,
    mount_due,
    periods_of,
)

HANGS = frozenset({Stage.ON_DISPLAY, Stage.ROTATION})
BEFORE_TREATMENT = frozenset({"consent.missing", "proposal.missing"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """One thing a gate waits for.

    ``owner`` is a full name, or the role it falls to while nobody is ``named``. ``in_hand``: it is
    with somebody by name, or was asked for. ``presses`` is false for what was needed before the
    object hung: it is a gap by then, and late for nothing.
    """

    gate: str
    code: str
    about: str
    text: str
    owner: str
    named: bool
    in_hand: bool
    needed_by: date
    late_by: int
    presses: bool

    @property
    def key(self) -> str:
        """The key of the blocker it stands for."""
        return f"{self.code}:{self.about}" if self.about else self.code


def unplanned_install(*, wanted: date, opens: date, install_from: date) -> date:
    """Return the day of an install that nobody has planned yet: the first day of install.

    What was asked for from a day after the opening is installed when it is wanted: nothing of it
    was needed before.

    >>> opening = {"opens": date(2026, 8, 21), "install_from": date(2026, 8, 17)}
    >>> unplanned_install(wanted=date(2026, 8, 21), **opening).isoformat()
    '2026-08-17'
    >>> unplanned_install(wanted=date(2026, 11, 27), **opening).isoformat()
    '2026-11-27'
    """
    return wanted if wanted > opens else install_from


def install_day(facts: ShowingFacts) -> date:
    """Return the planned install day; while none is planned, the day it would be."""
    planned = facts.display.planned(OnShow.INSTALL)
    if planned is not None:
        return planned.day
    show = facts.exhibition
    return unplanned_install(
        wanted=facts.request.show_from, opens=show.opens, install_from=show.install_from
    )


def periods_in(facts: ShowingFacts) -> tuple[Period, ...]:
    """Return the faces of the plan with the days on which they go on show."""
    turns: dict[int, date] = {}
    for one in sorted(facts.display.appointments, key=lambda a: (a.day, a.uid)):
        if one.kind is OnShow.TURN and one.to_face_id is not None:
            turns.setdefault(one.to_face_id, one.day)
    return periods_of(
        [(face.face_id, face.label) for face in facts.faces],
        opens=install_day(facts),
        turns=turns,
        wanted={face.face_id: face.from_on for face in facts.faces if face.from_on is not None},
    )


def links_of(
    blockers: Iterable[Blocker], facts: ShowingFacts, *, gate: str, due_on: date, lead: Lead
) -> tuple[Link, ...]:
    """Return a link for each blocker of a gate needed by ``due_on``, the first due first."""
    links = []
    for blocker in blockers:
        needed = needed_by(blocker.code, blocker.about, facts, due_on=due_on, lead=lead)
        presses = _presses(blocker, facts)
        name = owner_of(blocker, facts)
        links.append(
            Link(
                gate=gate,
                code=blocker.code,
                about=blocker.about,
                text=blocker.text,
                owner=name or blocker.role.label,
                named=bool(name),
                in_hand=bool(name) or _asked_for(blocker, facts),
                needed_by=needed,
                late_by=max(0, (facts.today - needed).days) if presses else 0,
                presses=presses,
            )
        )
    return tuple(sorted(links, key=lambda link: (not link.presses, link.needed_by)))


def needed_by(code: str, about: str, facts: ShowingFacts, *, due_on: date, lead: Lead) -> date:
    """Return by when this very thing is needed; ``due_on`` is the day of its gate."""
    if code in BEFORE_TREATMENT:
        return consent_needed(facts, due_on)
    if code == "imaging.open":
        jobs = (job.due_on for job in facts.preparation.imaging if job.job_no == about)
        return next((day for day in jobs if day is not None), due_on)
    made, face = facts.preparation, _face(facts, about)
    days: list[date | None] = []
    if code == "facsimile.missing" and face is not None:
        days = [one.needed_by for one in made.facsimiles if one.face_id == face]
        days.append(facsimile_due(face, periods_in(facts), lead).on)
    elif code == "mount.fit" and face is not None:
        days = [one.needed_by for one in made.mounts if face in one.faces]
        days.append(mount_due([face], periods_in(facts), lead).on)
    # A day that somebody named brings it forward; it never puts off what the plan asks for.
    own = min((day for day in days if day is not None), default=None)
    if own is None:
        return due_on
    return own if facts.stage in HANGS else min(own, due_on)


def _face(facts: ShowingFacts, label: str) -> int | None:
    return next((face.face_id for face in facts.faces if face.label == label), None)


def _presses(blocker: Blocker, facts: ShowingFacts) -> bool:
    """Whether anything still waits for it: before the object hangs, or before a coming turn."""
    if facts.stage is None or facts.stage in BEFORE_DISPLAY or blocker.code == "housing.fits":
        return True
    if facts.stage not in HANGS:
        return False
    face = _face(facts, blocker.about)
    order = [one.face_id for one in facts.faces]
    shown = facts.display.face_shown
    since = order.index(shown) if shown in order else -1
    if blocker.code == "mount.fit" and face is not None:
        return order.index(face) > since
    if blocker.code == "facsimile.missing" and face is not None:
        periods = periods_in(facts)
        hidden = next((one for one in hidden_in(periods) if one.face_id == face), None)
        labels = [one.label for one in facts.faces]
        return hidden is not None and labels.index(hidden.shown) > since
    return False


def _asked_for(blocker: Blocker, facts: ShowingFacts) -> bool:
    """Whether this very thing was asked for, though nobody is named for it."""
    made, face = facts.preparation, _face(facts, blocker.about)
    if blocker.code == "facsimile.missing":
        return any(one.face_id == face for one in made.facsimiles)
    return blocker.code == "mount.fit" and any(face in one.faces for one in made.mounts)


def owner_of(blocker: Blocker, facts: ShowingFacts) -> str:
    """Return who has it in hand by name, or nothing while nobody has."""
    made, face = facts.preparation, _face(facts, blocker.about)
    match blocker.code:
        case "imaging.open":
            names = [job.person for job in made.imaging if job.job_no == blocker.about]
        case "facsimile.missing":
            names = [one.person for one in made.facsimiles if one.face_id == face]
        case "mount.fit":
            names = [one.person for one in made.mounts if face in one.faces]
        case "caption.open":
            names = [made.caption.person]
        case "housing.fits":
            names = [made.housing.person]
        case "consent.missing":
            names = [
                one.person
                for proposal in facts.proposals
                for one in proposal.consents
                if not one.agreed and one.asked_on and blocker.about.endswith(one.key)
            ]
        case "case.built" | "case.curing":
            names = [facts.exhibition.manager]
        case _:
            names = []
    return " and ".join(name for name in dict.fromkeys(names) if name)
