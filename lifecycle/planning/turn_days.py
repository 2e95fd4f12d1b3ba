"""The answer to 'when do we turn?': the most even days, all days to choose from, and why.

Why not the calendar's middle, what it costs that only certain days are allowed, and whether the
saving is worth a handling at all: every turn is one. Words and figures only; the days themselves
are found in ``turns``.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from enum import StrEnum
from fractions import Fraction
from itertools import permutations
from typing import Final

from lifecycle.planning.day_words import day_words
from lifecycle.planning.quantities import lux_of, whole_lx_h
from lifecycle.planning.turns import Run, Sharing, TurnDay, Turned, TurnPlan, When

MOST_ORDERED: Final = 4
"""Up to so many faces every order is tried, if they may change places."""


class EvenBy(StrEnum):
    """What is made even among the faces."""

    THIS_SHOWING = "this_showing"
    LIFETIME = "lifetime"
    SHARE_LEFT = "share_left"

    @property
    def label(self) -> str:
        return {
            EvenBy.THIS_SHOWING: "the dose of this showing",
            EvenBy.LIFETIME: "the dose of a lifetime",
            EvenBy.SHARE_LEFT: "the share of what each account had left",
        }[self]


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnQuestion:
    """What is asked: the run, the faces in their order, and what is made even.

    ``fixed`` faces at the beginning keep their place (the one that is up); ``shown_from`` is the
    first day of a showing that goes on; ``needed_above`` [units] is the dose from which the house
    rules ask for a turn.
    """

    run: Run
    faces: tuple[Turned, ...]
    even_by: EvenBy = EvenBy.THIS_SHOWING
    any_order: bool = False
    fixed: int = 0
    shown_from: date | None = None
    needed_above: int | None = None
    rule: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnAnswer:
    """The days found with everything that stands beside them."""

    question: TurnQuestion
    sharing: Sharing
    best: TurnPlan | None
    table: tuple[TurnPlan, ...]
    middle: TurnPlan | None
    freely: TurnPlan | None
    because: str
    notes: tuple[str, ...]


def turn_days(question: TurnQuestion) -> TurnAnswer:
    """Return the most even turn days, the whole table for two faces, and the reasons in words."""
    best_sharing, best = _best(question)
    run = question.run
    every = [run.first + timedelta(n) for n in range(1, (run.last - run.first).days + 1)]
    early = replace(run, allowed=tuple(TurnDay(day, When.BEFORE_OPENING) for day in every))
    freely = None
    if len(best_sharing.faces) > 1 and any(row.when is When.CLOSED for row in run.allowed):
        freely = Sharing(early, best_sharing.faces).best()
    middles, middle = best_sharing.middle(question.shown_from)
    table = tuple(best_sharing.single()) if len(best_sharing.faces) == 2 else ()
    return TurnAnswer(
        question=question,
        sharing=best_sharing,
        best=best,
        table=table,
        middle=middle,
        freely=freely,
        because=_because(question, best_sharing, best, (middles, middle)),
        notes=tuple(_notes(question, best_sharing, best, freely)),
    )


def _best(question: TurnQuestion) -> tuple[Sharing, TurnPlan | None]:
    """Try the order given, or every order of the faces that are not fixed."""
    faces, fixed = question.faces, question.fixed
    orders: list[tuple[Turned, ...]] = [faces]
    if question.any_order and len(faces) - fixed <= MOST_ORDERED:
        orders = [(*faces[:fixed], *rest) for rest in permutations(faces[fixed:])]
    found = [(one, one.best()) for one in (Sharing(question.run, order) for order in orders)]
    able = [(sharing, plan) for sharing, plan in found if plan is not None]
    return min(able, key=lambda row: row[1].order) if able else found[0]


def load_words(plan: TurnPlan, even_by: EvenBy) -> str:
    """Return what each face comes to: 'opening A 28,518 lx·h, opening B 27,405 lx·h'."""
    shares = []
    for row in plan.stretches:
        text = f"{row.face.label} {whole_lx_h(row.load):,} lx·h"
        if even_by is EvenBy.SHARE_LEFT:
            text += f" ({percent_of(row.load, row.face.weight)} % of what it had left)"
        shares.append(text)
    return ", ".join(shares)


def percent_of(part: int | Fraction, whole: int | Fraction) -> int:
    return round(100 * Fraction(part) / Fraction(whole)) if whole else 0


def days_words(days: Sequence[TurnDay]) -> str:
    """Return turn days in words: 'Mon 15 Jun 2026 (closed day)'."""
    return ", ".join(f"{day_words(row.day)} ({row.when.label})" for row in days)


def _because(
    question: TurnQuestion,
    sharing: Sharing,
    best: TurnPlan | None,
    by_calendar: tuple[Sequence[date], TurnPlan | None],
) -> str:
    if len(sharing.faces) == 1:
        return f"{sharing.faces[0].label} is the only face of the plan; there is nothing to turn."
    if best is None:
        return _impossible(sharing)
    text = (
        f"Most even, by {question.even_by.label}: {days_words(best.days)}; "
        f"{load_words(best, question.even_by)}."
    )
    return f"{text} {_not_by_calendar(question, sharing, *by_calendar)}"


def _not_by_calendar(
    question: TurnQuestion, sharing: Sharing, days: Sequence[date], middle: TurnPlan | None
) -> str:
    """Say what turning in the calendar's middle would have come to, and why it is not that day."""
    middles = " and ".join(day_words(day) for day in days)
    if middle is None:
        return (
            f"The calendar’s middle, {middles}, is past; what was had since counts, so every "
            "later day is less even."
        )
    uneven = percent_of(middle.spread, max(row.load for row in middle.stretches))
    text = (
        f"The calendar’s middle, {middles}, would give {load_words(middle, question.even_by)}: "
        f"{uneven} % apart"
    )
    reasons = list(_reasons(sharing, middle))
    if reasons:
        text += f", because {'; '.join(reasons)}"
    allowed = {row.day for row in sharing.run.allowed}
    barred = [day_words(day) for day in days if day not in allowed]
    if barred:
        text += f". No turn can be made on {' and '.join(barred)} under the days chosen"
    return f"{text}."


def why_this_day(answer: TurnAnswer, day: date) -> str:
    """Return in a few sentences why a turn is made on this day, or '' if it is no allowed day.

    What each face comes to, what the most even day would give if it is another, and why it is
    not the calendar's middle.
    """
    question, sharing, best = answer.question, answer.sharing, answer.best
    if best is None:
        return ""
    even = any(row.day == day for row in best.days)
    plan = best if even else next((p for p in answer.table if p.days[0].day == day), None)
    if plan is None:
        return ""
    loads = load_words(plan, question.even_by)
    if even:
        text = f"Most even of the allowed days: {loads}."
    else:
        text = f"{loads}; {days_words(best.days)} would be the most even."
    days, middle = sharing.middle(question.shown_from)
    return f"{text} The calendar’s middle, {_middle_words(sharing, days, middle)}."


def _middle_words(sharing: Sharing, days: Sequence[date], middle: TurnPlan | None) -> str:
    """Say in a few words why no turn is made in the calendar's middle."""
    middles = " and ".join(day_words(day) for day in days)
    if middle is None:
        return f"{middles}, is past; what was had since counts"
    if any(day not in {row.day for row in sharing.run.allowed} for day in days):
        return f"{middles}, is no day on which a turn can be made"
    uneven = percent_of(middle.spread, max(row.load for row in middle.stretches))
    return f"{middles}, would leave them {uneven} % apart"


def _reasons(sharing: Sharing, middle: TurnPlan) -> Iterator[str]:
    """Say what pushes the even day out of the calendar's middle."""
    faces = sharing.faces
    if len({row.level for row in faces}) > 1:
        lights = ", ".join(f"{row.label} at {lux_of(row.level).normalize():f} lx" for row in faces)
        yield f"they do not hang in the same light ({lights})"
    had = [row for row in faces if row.before]
    if had:
        doses = ", ".join(f"{row.label} {whole_lx_h(row.before):,} lx·h" for row in had)
        yield f"there is light already from before ({doses})"
    hours = [sharing.lit(row.first, row.last) for row in middle.stretches]
    cover = sharing.run.timetable.cover_percent
    if cover and max(hours) - min(hours) > 0.01 * max(hours):
        each = ", ".join(f"{one / (60 * cover):,.0f}" for one in hours)
        yield f"its parts do not hold the same lit hours ({each})"


def _impossible(sharing: Sharing) -> str:
    need = len(sharing.faces) - 1
    if len(sharing.allowed) < need:
        return (
            f"{need} turns are needed and {len(sharing.allowed)} days are allowed: allow turns "
            "before opening, or fewer faces."
        )
    _, middle = sharing.middle()
    plans = sharing.single() if need == 1 else [middle]
    faults = dict.fromkeys(text for plan in plans if plan is not None for text in plan.faults)
    return "No set of allowed days keeps every limit. " + " ".join(faults)


def _notes(
    question: TurnQuestion, sharing: Sharing, best: TurnPlan | None, freely: TurnPlan | None
) -> Iterator[str]:
    if len(sharing.faces) == 1:
        return
    level, shares = sharing.level_of_even()
    for number, (face, share) in enumerate(zip(sharing.faces, shares, strict=True)):
        if not share and number < question.fixed:
            yield (
                f"{face.label} is up and has had its even share already: turn on the first day "
                "that can be."
            )
        elif not share:
            yield (
                f"{face.label} has had more than the others will ever get: by this measure it is "
                "not to be shown."
            )
    if best is not None and level:
        over = percent_of(best.worst - level, level)
        text = f"The worst face ends {over} % above equal on the allowed days."
        if freely is not None and freely.worst < best.worst:
            could = percent_of(freely.worst - level, level)
            text += f" Turned on {days_words(freely.days)} it would be {could} %."
        yield text
    yield from _worth_it(question, sharing, best)


def _worth_it(question: TurnQuestion, sharing: Sharing, best: TurnPlan | None) -> Iterator[str]:
    first, run = sharing.faces[0], sharing.run
    alone = first.before + sharing.dose(0, run.first, run.last)
    if best is not None and alone:
        most = max(row.load for row in best.stretches)
        saved = percent_of(alone - most, alone)
        yield (
            f"Not turned at all, {first.label} would come to {whole_lx_h(alone):,} lx·h; turned, "
            f"the most lit face comes to {whole_lx_h(most):,} lx·h, {saved} % less."
        )
    if question.needed_above is not None and alone <= question.needed_above:
        yield (
            f"{question.rule} asks for a turn from {whole_lx_h(question.needed_above):,} lx·h on: "
            "the saving is hardly worth a handling."
        )
