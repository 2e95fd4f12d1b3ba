"""The list of loans, one loan, and the forms that keep it."""

from typing import Any
from uuid import UUID

from django import forms
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from lifecycle.actions.loans import (
    add_clause,
    add_loan,
    ask_leave,
    authorise_exit,
    change_clause,
    change_loan,
    extend_loan,
    record_leave,
    sign_receipt,
    waive_clause,
)
from lifecycle.actions.pictures import store_document
from lifecycle.pages.display.seeing import called, seen_showing, showing_address
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import Done, FormPage, answer_form
from lifecycle.pages.lists_as_tables import loans_table
from lifecycle.pages.loans.forms import (
    AskLeaveForm,
    ClauseForm,
    ClauseStateForm,
    ClauseWaiverForm,
    ExtendForm,
    LeaveForm,
    LoanChangeForm,
    LoanForm,
    ReceiptForm,
    initial_of,
)
from lifecycle.pages.tables_out import most_shown, wanted_file
from lifecycle.process.days import day_words
from lifecycle.process.rights import Deed
from lifecycle.queries.loans import LIST_LIMIT, loans_list, on_showing
from lifecycle.queries.rights import about_object
from lifecycle.records.models import Document, Loan, Requirement


def _acting(request: SignedInRequest) -> dict[str, Any]:
    """Loans, clauses and exits are the registrar's and the head of collections'."""
    return {"by": request.person, "role": request.role_for(Deed.REGISTER), "at": request.at}


def _paper(request: SignedInRequest, sent: Any, title: str, field: str) -> Document | None:
    if sent is None:
        return None
    return store_document(
        data=sent.read(), name=sent.name, title=title, field=field, **_acting(request)
    )


def may_see_loans(request: SignedInRequest) -> bool:
    """The list is for those who examine, register or see every showing of the house."""
    return any(request.may(deed) for deed in (Deed.EXAMINE, Deed.REGISTER, Deed.SEE_SHOWING))


@require_GET
@signed_in
def loans(request: SignedInRequest) -> HttpResponse:
    """The loans, the first to end first. Guests see theirs on the pages of their objects."""
    if not may_see_loans(request):
        request.role_for(Deed.REGISTER)
    closed = request.GET.get("closed") == "yes"
    rows = loans_list(request.at, closed=closed, most=most_shown(request, LIST_LIMIT))
    file = wanted_file(request, lambda: loans_table(rows))
    if file is not None:
        return file
    context = {
        "rows": rows,
        "keep": "closed=yes" if closed else "",
        "closed": closed,
        "may_keep": request.may(Deed.REGISTER),
    }
    return render(request, "loans/list.html", context)


@require_GET
@signed_in
def loan(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """One loan with its clauses; contact and insurance reference only for those who may."""
    row = get_object_or_404(
        Loan.objects.select_related("lender", "agreement", "exit_authorised_by", "receipt"), uid=uid
    )
    lines = list(
        row.lines.select_related("museum_object__current_location").order_by(
            "museum_object__object_number", "pk"
        )
    )
    about = [about_object(line.museum_object) for line in lines]
    if not may_see_loans(request) and not any(request.may(Deed.COUNTERSIGN, o) for o in about):
        # Who sees an object for its gallery or a job sees it there, and not its loan file.
        request.role_for(Deed.REGISTER)
    for one in about:
        request.role_for(Deed.SEE_SHOWING, one)
    context = {
        "loan": row,
        "lines": lines,
        "clauses": list(row.clauses.select_related("case").order_by("clause_ref", "pk")),
        "extensions": list(row.extensions.order_by("agreed_on", "pk")),
        "showings": list(row.showings.select_related("exhibition", "museum_object").order_by("pk")),
        "may_keep": request.may(Deed.REGISTER),
        "sees_lender": request.may(Deed.SEE_LENDER),
        "may_see_loans": may_see_loans(request),
        "sees_bays": request.may(Deed.SEE_STORE_BAY),
    }
    return render(request, "loans/one.html", context)


@signed_in
def loan_new(request: SignedInRequest) -> HttpResponse:
    """Write down a loan."""
    acting = _acting(request)
    form = LoanForm(request.POST or None, request.FILES or None)

    @transaction.atomic
    def act(data: dict[str, Any]) -> Done:
        title = f"Agreement {data['agreement_no']}"
        paper = _paper(request, data["agreement_file"], title, "agreement_file")
        row = add_loan(**acting, terms=form.terms(paper))
        return Done(f"{row.agreement_no} is written down.", reverse("loan", args=[row.uid]))

    page = FormPage(
        title="Write down a loan", submit="Keep the loan", back=reverse("loans"), draft="loan-new"
    )
    return answer_form(request, form, act, page)


@signed_in
def loan_change(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Change what the record says of a loan."""
    row = get_object_or_404(Loan.objects.select_related("lender", "agreement"), uid=uid)
    acting = _acting(request)
    form = LoanChangeForm(request.POST or None, request.FILES or None, initial=initial_of(row))

    @transaction.atomic
    def act(data: dict[str, Any]) -> str:
        title = f"Agreement {data['agreement_no']}"
        paper = _paper(request, data["agreement_file"], title, "agreement_file")
        change_loan(**acting, loan=row, terms=form.terms(paper or row.agreement), why=data["why"])
        return f"{row.agreement_no} is changed."

    page = FormPage(
        title=f"Change {row.agreement_no}",
        submit="Change the loan",
        back=reverse("loan", args=[uid]),
    )
    return answer_form(request, form, act, page)


@signed_in
def loan_extend(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Move the end later, as both sides agreed."""
    row = get_object_or_404(Loan, uid=uid)
    acting = _acting(request)
    form = ExtendForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        made = extend_loan(**acting, loan=row, **data)
        return f"{row.agreement_no} ends on {day_words(made.new_end)} now."

    page = FormPage(
        title=f"Extend {row.agreement_no}",
        submit="Extend the loan",
        back=reverse("loan", args=[uid]),
        lead=f"It ends on {day_words(row.ends_on)}.",
    )
    return answer_form(request, form, act, page)


@signed_in
def clause_new(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Write down one clause as a row that can be watched."""
    row = get_object_or_404(Loan, uid=uid)
    acting = _acting(request)
    form = ClauseForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        add_clause(**acting, clause=form.clause(row))
        return f"The clause on {data['parameter'].label} is written down."

    page = FormPage(
        title=f"Add a clause to {row.agreement_no}",
        submit="Keep the clause",
        back=reverse("loan", args=[uid]),
        draft=f"clause-{uid}",
    )
    return answer_form(request, form, act, page)


def _clause(uid: UUID) -> tuple[Requirement, str]:
    row = get_object_or_404(Requirement.objects.select_related("loan"), uid=uid)
    back = reverse("loan", args=[row.loan.uid]) if row.loan else reverse("loans")
    return row, back


@signed_in
def clause_state(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Say what became of a clause."""
    row, back = _clause(uid)
    acting = _acting(request)
    form = ClauseStateForm(request.POST or None, initial={"state": row.state})

    def act(data: dict[str, Any]) -> str:
        change_clause(**acting, requirement=row, state=data["state"], why=data["why"])
        return f"The clause is “{data['state'].label}” now."

    page = FormPage(
        title=f"Clause {row.clause_ref}".strip(), submit="Keep this", back=back, lead=row.text
    )
    return answer_form(request, form, act, page)


@signed_in
def clause_waive(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Record that the lender waived a clause in writing."""
    row, back = _clause(uid)
    acting = _acting(request)
    form = ClauseWaiverForm(request.POST or None, request.FILES or None)

    @transaction.atomic
    def act(data: dict[str, Any]) -> str:
        paper = _paper(request, data["paper"], f"Waiver of clause {row.clause_ref}", "paper")
        waive_clause(**acting, requirement=row, document=paper, note=data["note"])
        return "The clause is waived in writing."

    page = FormPage(
        title=f"Waive clause {row.clause_ref}".strip(),
        submit="Keep the waiver",
        back=back,
        lead=row.text,
    )
    return answer_form(request, form, act, page)


@signed_in
def lender_leave(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Ask the lender's leave for a showing, or record what came back."""
    showing = seen_showing(request, uid)
    acting = _acting(request)
    waiting = on_showing(showing, request.at).waiting
    back = showing_address(showing, "loans")
    if waiting is None:
        ask = AskLeaveForm(request.POST or None, initial={"asked_at": request.at})

        def act_ask(data: dict[str, Any]) -> str:
            ask_leave(**acting, showing=showing, **data)
            return "The lender is asked; the answer is waited for."

        page = FormPage(
            title=f"Lender's leave for {called(showing)}", submit="The lender is asked", back=back
        )
        return answer_form(request, ask, act_ask, page)
    form = LeaveForm(request.POST or None, request.FILES or None)

    @transaction.atomic
    def act(data: dict[str, Any]) -> str:
        paper = _paper(request, data.pop("paper"), "Lender's leave", "paper")
        record_leave(**acting, leave=waiting, document=paper, **data)
        return "The lender's answer is on record."

    page = FormPage(
        title=f"Lender's leave for {called(showing)}",
        submit="Keep the answer",
        back=back,
        lead=f"{waiting.asked_of.name} was asked.",
    )
    return answer_form(request, form, act, page)


@signed_in
def loan_exit(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Authorise that the objects of a loan leave the building."""
    row = get_object_or_404(Loan, uid=uid)
    acting = _acting(request)
    form = forms.Form(request.POST if request.method == "POST" else None)

    def act(_: dict[str, Any]) -> str:
        authorise_exit(**acting, loan=row)
        return f"The exit under {row.agreement_no} is authorised."

    page = FormPage(
        title=f"Authorise the exit under {row.agreement_no}",
        submit="Authorise with my name",
        back=reverse("loan", args=[uid]),
        lead="Three copies, as is the custom: for the taker, the file, and a spare.",
    )
    return answer_form(request, form, act, page)


@signed_in
def loan_receipt(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Record the lender's signed receipt."""
    row = get_object_or_404(Loan, uid=uid)
    acting = _acting(request)
    form = ReceiptForm(request.POST or None, request.FILES or None)

    @transaction.atomic
    def act(data: dict[str, Any]) -> str:
        paper = _paper(request, data["receipt_file"], f"Receipt {row.agreement_no}", "receipt_file")
        sign_receipt(
            **acting,
            loan=row,
            signed_by=data["signed_by"],
            signed_at=data["signed_at"],
            receipt=paper,
        )
        return f"The receipt under {row.agreement_no} is on record."

    page = FormPage(
        title=f"Receipt for {row.agreement_no}",
        submit="Keep the receipt",
        back=reverse("loan", args=[uid]),
    )
    return answer_form(request, form, act, page)
