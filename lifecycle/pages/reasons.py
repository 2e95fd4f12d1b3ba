"""Reasons with the link that mends each, and where allowed the link that waives it."""

from collections.abc import Iterable
from dataclasses import dataclass
from urllib.parse import urlencode

from django.urls import reverse

from lifecycle.pages.errands import href_of
from lifecycle.process.facts.showing import ShowingFacts
from lifecycle.process.gates.blocker import Blocker
from lifecycle.process.rights import Deed, PersonFacts, SubjectFacts, may
from lifecycle.process.stages import Role
from lifecycle.process.waivers import WAIVABLE
from lifecycle.queries.errands import errand_of


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
