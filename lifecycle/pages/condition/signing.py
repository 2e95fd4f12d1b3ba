"""Sign, countersign, correct, strike."""

from typing import Any, Final
from uuid import UUID

from django.conf import settings
from django.db import transaction
from django.http import HttpResponse

from lifecycle.actions.condition.completeness import reasons_against_signing
from lifecycle.actions.condition.draft import about_report, deed_for
from lifecycle.actions.condition.sign import (
    correct_report,
    countersign_report,
    sign_report,
    strike_draft,
)
from lifecycle.actions.condition.unsigned import note_left_unsigned
from lifecycle.actions.pictures import store_document
from lifecycle.actions.signing import Hand, on_paper, with_account
from lifecycle.exchange.demo_data import demo_password
from lifecycle.pages.condition.finding_forms import WhyForm
from lifecycle.pages.condition.mending import lacking
from lifecycle.pages.condition.seeing import address, seen_report
from lifecycle.pages.condition.sign_forms import (
    CorrectForm,
    CountersignForm,
    LeftUnsignedForm,
    SignForm,
)
from lifecycle.pages.condition.writing import writer
from lifecycle.pages.display.seeing import showing_address
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import Done, FormPage, answer_form
from lifecycle.process.rights import Deed, role_serving
from lifecycle.process.stages import Role
from lifecycle.process.words import ReportKind, SignCapacity
from lifecycle.queries.papers_out import scan_of
from lifecycle.queries.rights import person_facts
from lifecycle.records.models import Person, Print
from lifecycle.records.models.condition import ConditionReport

AS_GUEST: Final = {Role.COURIER: SignCapacity.COURIER, Role.LENDER: SignCapacity.LENDER}


def _hand(
    request: SignedInRequest, data: dict[str, Any], report: ConditionReport, deed: Deed
) -> Hand:
    """Whose hand the form gives: the person's own, or one who signed on paper.

    :raises NotAllowed: if the person at the screen may not do this
    :raises Refused: if the scan is no scan
    """
    about = about_report(report)
    signer: Person | None = data["signed_on_paper_by"]
    if signer is None:
        role = request.role_for(deed, about)
        return with_account(person=request.person, role=role, password=data["password"])
    back_role = request.role_for(Deed.COUNTERSIGN, about)
    signer_role = role_serving(person_facts(signer, request.at), deed, about)
    row: Print | None = data.get("sheet")
    scan = None if row is None else scan_of(row)
    if sent := data["scan"]:
        scan = store_document(
            data=sent.read(),
            name=sent.name,
            title=f"{report}, signed by {signer.full_name}",
            by=request.person,
            role=back_role,
            at=request.at,
        )
    return on_paper(
        person=signer,
        # Without a role that may, the action says so in words.
        role=signer_role or Role.TECHNICIAN,
        scan=scan,
        read_back_by=request.person,
        read_back_role=back_role,
        signed_at=data["signed_at"],
        note="" if row is None else row.print_no,
    )


def _demo_password() -> str:
    """In the demo one signs in by a click, so the page has to say what is asked again."""
    return demo_password() if settings.DEMO else ""


@signed_in
def sign(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Sign a report; everything that is still missing stands on the page."""
    report = seen_report(request, uid)
    writer(request, report)
    form = SignForm(request.POST or None, request.FILES or None)
    form.fill(request, report)

    def act(data: dict[str, Any]) -> str:
        with transaction.atomic():
            hand = _hand(request, data, report, deed_for(report.kind))
            signature = sign_report(report=report, hand=hand, at=request.at)
        return f"{report} is signed by {signature.person}."

    page = FormPage(
        title=f"Sign {report}",
        submit="Sign the report",
        back=address(report),
        lead="Signed, it is frozen: a correction will be a new version.",
        template="condition/sign.html",
        more={
            "report": report,
            "reasons": lacking(
                report, reasons_against_signing(report, at=request.at, by=request.person)
            ),
            "demo_password": _demo_password(),
        },
    )
    return answer_form(request, form, act, page)


@signed_in
def countersign(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Put a second name under a signed report."""
    report = seen_report(request, uid)
    role = request.role_for(Deed.COUNTERSIGN, about_report(report))
    part_a = report.kind == ReportKind.DEINSTALL_AT_CASE
    first = SignCapacity.COUNTERSIGNED if part_a else SignCapacity.SECOND_READER
    # A guest signs as what the pass says.
    first = AS_GUEST.get(role, first)
    form = CountersignForm(request.POST or None, request.FILES or None, initial={"capacity": first})
    form.fill(request, report)

    def act(data: dict[str, Any]) -> str:
        with transaction.atomic():
            signature = countersign_report(
                report=report,
                capacity=SignCapacity(data["capacity"]),
                hand=_hand(request, data, report, Deed.COUNTERSIGN),
                at=request.at,
            )
        return f"{signature.person} signed {report} as {signature.get_capacity_display()}."

    page = FormPage(
        title=f"Countersign {report}",
        submit="Sign as second name",
        back=address(report),
        lead="Read the report first; your name stands under exactly this version.",
        template="condition/sign.html",
        more={
            "report": report,
            "reasons": [],
            "demo_password": _demo_password(),
        },
    )
    return answer_form(request, form, act, page)


@signed_in
def left_unsigned(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Write down who went away before signing; the report waits for the signed sheet."""
    report = seen_report(request, uid)
    role = request.role_for(Deed.COUNTERSIGN, about_report(report))
    form = LeftUnsignedForm(request.POST or None, initial={"left_at": request.at})
    form.fill(request)

    def act(data: dict[str, Any]) -> str:
        left = note_left_unsigned(
            report=report,
            person=data["person"],
            capacity=SignCapacity(data["capacity"]),
            left_at=data["left_at"],
            because=data["because"],
            by=request.person,
            role=role,
            at=request.at,
        )
        return f"{report} waits for the signature of {left.person}."

    page = FormPage(
        title=f"Left before signing {report}",
        submit="Write it down",
        back=address(report),
        lead="It stays on the registrar’s list until their signature is in, on screen or as the "
        "scan of the signed sheet.",
    )
    return answer_form(request, form, act, page)


@signed_in
def correct(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Correct a signed report by a new version."""
    report = seen_report(request, uid)
    role = request.role_for(deed_for(report.kind), about_report(report))
    form = CorrectForm(request.POST or None)

    def act(data: dict[str, Any]) -> Done:
        draft = correct_report(
            report=report, note=data["note"], by=request.person, role=role, at=request.at
        )
        return Done(f"Version {draft.version} of {draft.report_no} is open.", address(draft))

    page = FormPage(
        title=f"Correct {report}",
        submit="Open the next version",
        back=address(report),
        lead="The signed version stays as it is and can always be printed.",
    )
    return answer_form(request, form, act, page)


@signed_in
def strike(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Strike a draft that is not wanted."""
    report = seen_report(request, uid)
    role = writer(request, report)
    form = WhyForm(request.POST or None)
    back = showing_address(report.showing, "condition") if report.showing else address(report)

    def act(data: dict[str, Any]) -> Done:
        strike_draft(report=report, why=data["why"], by=request.person, role=role, at=request.at)
        return Done(f"The draft {report} is struck.", back)

    page = FormPage(
        title=f"Strike the draft {report}",
        submit="Strike the draft",
        back=address(report),
        lead="It stays readable; its number is not used again.",
    )
    return answer_form(request, form, act, page)
