"""Exhibitions and one exhibition: which objects are ready, which are late, what blocks each."""

from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_GET

from lifecycle.actions.papers_out.allowed import TO_PRINT
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.errands import address, href_of
from lifecycle.pages.exhibition_edit.views import may_keep
from lifecycle.pages.lists_as_tables import readiness_as_table
from lifecycle.pages.tables_out import wanted_file
from lifecycle.process.offsets import OFFSETS
from lifecycle.process.readiness import GateMark, gates_kept
from lifecycle.process.rights import Deed, PersonFacts, SubjectFacts
from lifecycle.process.stages import CLOSED
from lifecycle.queries.days_off import rules_in_force
from lifecycle.queries.display.lists import lists_in
from lifecycle.queries.errands import errand_of
from lifecycle.queries.facts.rules import rules_of
from lifecycle.queries.readiness import (
    ObjectLine,
    exhibitions_seen,
    first_late_of,
    readiness_table,
)
from lifecycle.queries.rights import about_exhibition, museum_day, sees_all_showings
from lifecycle.records.models import Exhibition, PaperKind


@dataclass(frozen=True, slots=True)
class Named:
    """A blocker with the page that mends it."""

    text: str
    role: object
    href: str
    link_word: str
    owner: str = ""
    """Who has it in hand, by name; without one the role is said."""

    needed_by: date | None = None
    late_by: int = 0


@dataclass(frozen=True, slots=True)
class ReadyRow:
    """One object of the table with its blockers as links."""

    line: ObjectLine
    blockers: tuple[Named, ...]


@require_GET
@signed_in
def exhibitions_page(request: SignedInRequest) -> HttpResponse:
    """All exhibitions the person has to do with."""
    lines = exhibitions_seen(request.facts, request.at)
    may_make = request.may(Deed.REGISTER)
    context = {"lines": lines, "new_href": address("exhibition-new", {}) if may_make else ""}
    return render(request, "exhibitions/list.html", context)


@require_GET
@signed_in
def exhibition_page(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """One exhibition: the readiness table, the countdown, and what can be done from here."""
    exhibition = get_object_or_404(
        Exhibition.objects.select_related("manager", "timetable").prefetch_related(
            "curators", "places"
        ),
        uid=uid,
    )
    lines = readiness_table(exhibition, request.facts, request.at)
    if not lines and not sees_all_showings(request.facts):
        request.role_for(Deed.SEE_SHOWING, about_exhibition(exhibition))
    today = museum_day(request.at)
    rules = rules_of([exhibition.pk], rules_in_force(today))[exhibition.pk]
    file = wanted_file(
        request, lambda: readiness_as_table(exhibition.title, lines, gates_kept(rules), rules)
    )
    if file is not None:
        return file
    about = about_exhibition(exhibition)
    rows = [_row(line, request.facts, exhibition.pk) for line in lines if line.stage not in CLOSED]
    kwargs = {"uid": str(exhibition.uid)}
    keeps = may_keep(request, exhibition)
    context = {
        "exhibition": exhibition,
        "rows": rows,
        "closed": [line for line in lines if line.stage in CLOSED],
        "gates": [
            (
                gate.code,
                gate.label_in(rules),
                gate.days_in(rules),
                "closing" if gate.before_close else "install",
                gate.code in rules.working,
            )
            for gate in gates_kept(rules)
        ],
        "marks": list(GateMark),
        "ready": sum(1 for row in rows if row.line.word == "on_course"),
        "first_late": first_late_of(row.line for row in rows),
        "offsets": [
            (one.label, one.days_in(rules), one.working_in(rules), one.before) for one in OFFSETS
        ],
        "late": sum(1 for row in rows if row.line.late_by),
        "days_to_install": (exhibition.install_from - today).days,
        "days_to_opening": (exhibition.opens - today).days,
        "ask_href": address("request-new", kwargs) if request.may(Deed.CHOOSE, about) else "",
        "ask_list_href": (
            address("request-list-new", kwargs) if request.may(Deed.CHOOSE, about) else ""
        ),
        "list_href": bool(rows) and sees_all_showings(request.facts),
        "may_print_list": any(request.may(deed, about) for deed in TO_PRINT[PaperKind.OBJECT_LIST]),
        "request_lists": lists_in(exhibition) if request.may(Deed.SEE_SHOWING, about) else [],
        "take_over_href": (
            address("take-over", kwargs) if request.may(Deed.REGISTER, about) else ""
        ),
        "take_over_list_href": (
            address("take-over-list", kwargs) if request.may(Deed.REGISTER, about) else ""
        ),
        "change_href": address("exhibition-change", kwargs) if keeps else "",
        "gates_href": address("exhibition-gates", kwargs) if request.may(Deed.OVERRIDE) else "",
        "dates_href": (
            address("exhibition-dates", kwargs) if request.may(Deed.SCHEDULE, about) else ""
        ),
    }
    return render(request, "exhibitions/one.html", context)


def _row(line: ObjectLine, who: PersonFacts, exhibition_id: int) -> ReadyRow:
    about = SubjectFacts(
        exhibition_id=exhibition_id,
        object_id=line.facts.object.object_id,
        showing_id=line.facts.showing_id,
        job_person_ids=line.facts.job_person_ids,
    )
    found = [blocker for cell in line.cells for blocker in cell.blockers]
    once = {blocker.key: blocker for blocker in (*found, *line.blockers)}
    links = {link.key: link for cell in line.cells for link in cell.links}
    named = []
    for blocker in once.values():
        errand = errand_of(blocker.code, blocker.about, line.facts)
        word = errand.word if errand is not None else ""
        link = links.get(blocker.key)
        named.append(
            Named(
                blocker.text,
                blocker.role,
                href_of(errand, who, about),
                word,
                link.owner if link and link.named else "",
                link.needed_by if link and link.presses else None,
                link.late_by if link else 0,
            )
        )
    return ReadyRow(line, tuple(named))
