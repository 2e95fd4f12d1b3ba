"""What can be switched on: a subject appears once the museum has its first record of it."""

from dataclasses import dataclass
from typing import Final

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET

from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.process.rights import Deed
from lifecycle.process.switches import ALWAYS, SWITCHED, Switch
from lifecycle.queries.frame import house
from lifecycle.queries.rights import museum_day
from lifecycle.queries.rules import gates_said, version_in_force


@dataclass(frozen=True, slots=True)
class Subject:
    """A subject that waits for its first record: why one would want it, and how it begins."""

    label: str
    used: str
    why: str
    begins_with: str
    route: str
    word: str
    deed: Deed


SUBJECTS: Final = (
    Subject(
        label="Light",
        used="light",
        why="Each face keeps its light for ever, so that the next request is answered from "
        "figures and a turn is planned in time.",
        begins_with="the first sensitivity class or the first meter",
        route="class-new",
        word="Add a sensitivity class",
        deed=Deed.OVERRIDE,
    ),
    Subject(
        label="Loans",
        used="loans",
        why="Each clause of an agreement becomes a row that is watched, and the way home is "
        "planned with the lender's dates.",
        begins_with="the first agreement",
        route="loan-new",
        word="Put a loan on record",
        deed=Deed.REGISTER,
    ),
)


@dataclass(frozen=True, slots=True)
class SubjectLine:
    """A subject as the page shows it to one person."""

    subject: Subject
    is_used: bool
    href: str


@require_GET
@signed_in
def in_use(request: SignedInRequest) -> HttpResponse:
    """List what is in use, and what could be, with the first step for those who may take it."""
    used = house().used
    lines = [
        SubjectLine(
            subject=one,
            is_used=one.used in used,
            href=reverse(one.route) if request.may(one.deed) else "",
        )
        for one in SUBJECTS
    ]
    said = gates_said(version_in_force(museum_day(request.at)))
    gates = [(gate, SWITCHED[gate].why, gate not in said.off) for gate in Switch]
    context = {
        "lines": lines,
        "gates": gates,
        "always": ALWAYS,
        "may_approve": request.may(Deed.OVERRIDE),
    }
    return render(request, "rules/in_use.html", context)
