"""Say what became of prints: they came back, or they are lost or void; several at once."""

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.urls import reverse

from lifecycle.actions.papers_out import mark_back, write_off
from lifecycle.actions.papers_out.allowed import TO_READ_BACK
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import FormPage, answer_form, role_for_one_of
from lifecycle.pages.papers.forms import BackForm, WriteOffForm
from lifecycle.papers.standing import moved_on
from lifecycle.process.rights import NOTHING
from lifecycle.process.stages import Role
from lifecycle.queries.papers_out import objects_of, prints_seen_by, subjects_of
from lifecycle.records.models import Print, PrintReturn

MOST_AT_ONCE = 200
MOST_COMPARED = 20


@signed_in
def papers_back(request: SignedInRequest) -> HttpResponse:
    """Prints that came back: who wrote on them, when, and the scan."""
    rows = _chosen(request)
    earlier = list(
        PrintReturn.objects.filter(print__in=rows).select_related("print").order_by("print", "nth")
    )
    form = BackForm(request.POST or None, request.FILES or None, second=bool(earlier))

    def act(_: dict[str, Any]) -> str:
        mark_back(
            by=request.person,
            role=_role(request, rows),
            at=request.at,
            prints=rows,
            details=form.details(),
        )
        return f"{_count(rows)} back, with the time that stands on the sheet."

    page = FormPage(
        title="Prints that came back",
        submit=f"{_count(rows)} came back" if rows else "Came back",
        back=reverse("papers"),
        lead=_numbers(rows),
        template="papers/back.html",
        more={
            "earlier": earlier,
            "changed": [row for row in rows[:MOST_COMPARED] if moved_on(row)],
        },
    )
    return answer_form(request, form, act, page)


@signed_in
def papers_write_off(request: SignedInRequest) -> HttpResponse:
    """Prints that are lost or void, all with one reason."""
    rows = _chosen(request)
    form = WriteOffForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        write_off(
            by=request.person,
            role=_role(request, rows),
            at=request.at,
            prints=rows,
            state=data["state"],
            reason=data["reason"],
        )
        return f"{_count(rows)} marked as {data['state'].label}; no longer expected back."

    page = FormPage(
        title="Prints that are lost or void",
        submit=f"Mark {_count(rows)}",
        back=reverse("papers"),
        lead=_numbers(rows),
    )
    return answer_form(request, form, act, page)


def _chosen(request: SignedInRequest) -> list[Print]:
    """The prints named in the address that the person may see."""
    uids = []
    for text in request.GET.getlist("print")[:MOST_AT_ONCE]:
        try:
            uids.append(UUID(text))
        except ValueError:
            continue
    return list(
        prints_seen_by(request.facts).filter(uid__in=uids).defer("words").order_by("print_no")
    )


def _role(request: SignedInRequest, rows: list[Print]) -> Role:
    subjects = subjects_of(objects_of(rows))
    return role_for_one_of(request, TO_READ_BACK, subjects[0] if subjects else NOTHING)


def _count(rows: list[Print]) -> str:
    return f"{len(rows)} print" if len(rows) == 1 else f"{len(rows)} prints"


def _numbers(rows: list[Print]) -> str:
    if not rows:
        return "No print is chosen: go back to Papers and tick those you mean."
    return ", ".join(row.print_no for row in rows)
