"""Reasons with the link that mends each, and where allowed the link that waives it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from urllib.parse import urlencode

from django.urls import reverse

from lifecycle.pages.door import SignedInRequest
from lifecycle.pages.errands import href_of
from lifecycle.process.facts.showing import ShowingFacts
from lifecycle.process.gates.blocker import Blocker
from lifecycle.process.moves import MOVES
from lifecycle.process.rights import Deed, PersonFacts, SubjectFacts, may
from lifecycle.process.stages import Role
from lifecycle.process.waivers import WAIVABLE
from lifecycle.queries.errands import MOVE_PAGES, errand_of
from lifecycle.queries.facts import facts_of, facts_of_one
from lifecycle.queries.rights import about_showing
from lifecycle.records.models import Showing


@dataclass(frozen=True, slots=True)
class NamedBlocker:
    """One line of the still-missing list."""

    text: str
    role: Role
    href: str
    link_word: str
    waived_by: str
    waive_href: str


def named_blockers(
    blockers: Iterable[Blocker],
    facts: ShowingFacts,
    who: PersonFacts,
    about: SubjectFacts,
) -> list[NamedBlocker]:
    """Return the blockers with the links that are open to ``who``, and that of a waiver."""
    named = []
    for blocker in blockers:
        errand = errand_of(blocker.code, blocker.about, facts)
        rule = WAIVABLE.get(blocker.code)
        deed = Deed.OVERRIDE if rule is not None and rule.override else Deed.WAIVE
        may_waive = rule is not None and any(may(who, deed, about, r) for r in rule.roles)
        question = urlencode({"code": blocker.code, "about": blocker.about})
        named.append(
            NamedBlocker(
                text=blocker.text,
                role=blocker.role,
                href=href_of(errand, who, about),
                link_word=errand.word if errand is not None else "",
                waived_by="",
                waive_href=(
                    f"{reverse('waive', args=[facts.uid])}?{question}" if may_waive else ""
                ),
            )
        )
    return named


def before_work(
    request: SignedInRequest, showing: Showing, move: str, facts: ShowingFacts | None = None
) -> list[NamedBlocker]:
    """What stands in the way of a move, without what the page of the move itself writes down.

    It is said before somebody fills the form at the case; what was sent is answered by the action.
    """
    if request.method == "POST":
        return []
    facts = facts or facts_of_one(showing, request.at)
    own = reverse(MOVE_PAGES[move], args=[showing.uid])
    named = named_blockers(
        MOVES[move].blockers(facts), facts, request.facts, about_showing(showing)
    )
    return [one for one in named if one.href != own]


def before_install(showing_ids: Sequence[int], at: datetime) -> dict[int, list[str]]:
    """The same for several objects that go in together, in words; queries as for one."""
    found: dict[int, list[str]] = {}
    for pk, facts in facts_of(showing_ids, at).items():
        errands = (
            (one.text, errand_of(one.code, one.about, facts))
            for one in MOVES["install"].blockers(facts)
        )
        found[pk] = [
            text
            for text, errand in errands
            if errand is None or errand.url_name != MOVE_PAGES["install"]
        ]
    return found
