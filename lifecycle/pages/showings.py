"""A showing, whole: the line of stages, what is missing, and everything recorded, by subject."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.template.loader import get_template
from django.views.decorators.http import require_GET

from lifecycle.actions.strikes import last_day_to_strike
from lifecycle.pages.display.seeing import seen_showing
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.errands import address, href_of
from lifecycle.pages.reasons import NamedBlocker, named_blockers
from lifecycle.process.days import day_words
from lifecycle.process.facts.showing import ShowingFacts
from lifecycle.process.links import Link
from lifecycle.process.move import Move
from lifecycle.process.moves import onward, open_moves
from lifecycle.process.readiness import GateCell, first_late, readiness_of
from lifecycle.process.rights import Deed, PersonFacts, SubjectFacts, may
from lifecycle.process.stages import BEFORE_DISPLAY, CLOSED, Role
from lifecycle.process.waivers import WAIVABLE
from lifecycle.queries import condition, display, light, loans, movements, papers_out
from lifecycle.queries.errands import errand_of
from lifecycle.queries.facts import facts_of_one
from lifecycle.queries.light import rest_kept
from lifecycle.queries.made_for_it import on_showing as preparation_part
from lifecycle.queries.rights import about_showing, museum_day
from lifecycle.queries.showing_story import journal_of, line_of_stages, told, waivers_of
from lifecycle.queries.stand_ins import on_showing as stand_ins_part
from lifecycle.queries.treatment.on_showing import on_showing as treatment_part
from lifecycle.records.models import JournalEntry, Showing

Reader = Callable[[Showing, datetime], object]

PARTS: tuple[tuple[str, str, str, Reader], ...] = (
    ("condition", "Condition", "condition", condition.on_showing),
    ("treatment", "Treatment", "treatment", treatment_part),
    ("preparation", "Preparation", "preparation", preparation_part),
    ("", "", "stand_ins", stand_ins_part),
    ("display", "Display", "display", display.on_showing),
    ("light", "Light", "light", light.on_showing),
    ("movements", "Movements", "movements", movements.on_showing),
    ("loans", "Loan", "loans", loans.on_showing),
    ("", "", "papers_out", papers_out.on_showing),
)
"""Anchor and heading (none where the part brings its own), template folder, reader."""


@dataclass(frozen=True, slots=True)
class Step:
    """A move from here as a link; ``why_not`` says why this person can't make it now."""

    label: str
    href: str
    why_not: str


def _mine(request: SignedInRequest, move: Move, showing: Showing) -> bool:
    about = about_showing(showing, at_take_down=move.name == "take_down")
    return any(may(request.facts, deed, about, role) for role, deed in move.deeds.items())


def _step(request: SignedInRequest, move: Move, showing: Showing, facts: ShowingFacts) -> Step:
    href = href_of(errand_of(f"move.{move.name}", "", facts))
    if not _mine(request, move, showing):
        who = " or ".join(role.label for role in Role if role in move.roles)
        return Step(move.label, "", f"A {who} makes this move.")
    left = len(move.blockers(facts))
    why_not = f"{left} thing{'' if left == 1 else 's'} still missing." if left else ""
    return Step(move.label, href, why_not)


def _waived(facts: ShowingFacts, move: Move, showing: Showing, who: Role | None) -> list[object]:
    uids = {(row.code, row.about): str(row.uid) for row in waivers_of(showing)}
    lines: list[object] = []
    for blocker, waiver in move.waived(facts):
        until = f" until {day_words(waiver.until)}" if waiver.until is not None else ""
        may_end = who is not None and who in WAIVABLE[blocker.code].roles
        uid = uids.get((blocker.code, blocker.about), "")
        lines.append(
            NamedBlocker(
                text=blocker.text,
                role=blocker.role,
                href=address("waiver-end", {"uid": uid}) if may_end and uid else "",
                link_word="End the waiver",
                waived_by=f"{waiver.by}{until}: {waiver.reason}",
                waive_href="",
            )
        )
    return lines


@dataclass(frozen=True, slots=True)
class Wanted:
    """One thing a gate waits for, with the page that mends it where it is open to this person."""

    link: Link
    href: str
    word: str


def _wanted(
    cell: GateCell, facts: ShowingFacts, who: PersonFacts, about: SubjectFacts
) -> list[Wanted]:
    found = []
    for link in cell.links:
        errand = errand_of(link.code, link.about, facts)
        word = errand.word if errand is not None else ""
        found.append(Wanted(link, href_of(errand, who, about), word))
    return found


def _may_strike(request: SignedInRequest, entry: JournalEntry) -> bool:
    mine = entry.by_id == request.person.pk
    if not mine and Role.HEAD_OF_COLLECTIONS not in request.facts.roles:
        return False
    return museum_day(request.at) <= last_day_to_strike(museum_day(entry.at))


@require_GET
@signed_in
def showing_page(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Everything about one object in one exhibition."""
    showing = seen_showing(request, uid)
    facts = facts_of_one(showing, request.at)
    entries = journal_of(showing)
    move = onward(facts)
    about = about_showing(showing)
    others = [m for m in open_moves(facts.stage) if move is None or m.name != move.name]
    waiving = next(
        (r for r in Role if r in request.facts.roles and may(request.facts, Deed.WAIVE, about, r)),
        None,
    )
    cells = readiness_of(facts)
    parts = [_part(part, showing, request.at) for part in PARTS]
    context = {
        "showing": showing,
        "facts": facts,
        "stages": line_of_stages(showing, entries),
        "next": _step(request, move, showing, facts) if move is not None else None,
        "next_label": move.label if move is not None else "",
        "blockers": (
            named_blockers(move.blockers(facts), facts, request.facts, about)
            if move is not None
            else []
        ),
        "waived": _waived(facts, move, showing, waiving) if move is not None else [],
        "others": [_step(request, m, showing, facts) for m in others],
        "told": [
            (line, line.is_last and _may_strike(request, line.entry)) for line in told(entries)
        ],
        "parts": parts,
        "closed": showing.stage in CLOSED,
        "may_place": request.may(Deed.SCHEDULE, about) and showing.stage in BEFORE_DISPLAY,
        "may_decide": request.may(Deed.EXAMINE, about) or request.may(Deed.OVERRIDE),
        "may_hold": request.may(Deed.REPORT_EVENT, about),
        "gates": [(cell, _wanted(cell, facts, request.facts, about)) for cell in cells],
        "late": first_late(cells) if showing.stage not in CLOSED else None,
        "answer": showing.answers.order_by("-pk").first(),
        "taken_over": facts.taken_over,
        "rest": rest_kept(showing),
    }
    context |= {part.name: part.data for part in parts}
    return render(request, "showings/one.html", context)


@dataclass(frozen=True, slots=True)
class Part:
    """One subject's part of the page."""

    anchor: str
    title: str
    name: str
    template: str
    data: object


def _part(part: tuple[str, str, str, Reader], showing: Showing, at: datetime) -> Part:
    anchor, title, name, read = part
    template = f"{name}/on_showing.html"
    get_template(template)
    return Part(anchor, title, name, template, read(showing, at))
