"""Print a paper (a POST), look at a print, and fetch its PDF (GETs that write nothing)."""

from collections.abc import Iterable
from datetime import datetime
from typing import Any
from uuid import UUID

from django.conf import settings
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_GET, require_POST

from lifecycle.actions.papers_out import Job, print_pack, print_paper
from lifecycle.actions.papers_out.allowed import TO_PRINT, subjects_of_paper
from lifecycle.actions.papers_out.printing import faults_to_sign
from lifecycle.actions.reading_back.reading import deeds_to_read_back
from lifecycle.actions.refusals import Refused
from lifecycle.pages.display.seeing import cautions_of_all
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.find import address_of
from lifecycle.pages.form_page import Done, FormPage, answer_form, may_one_of, role_for_one_of
from lifecycle.pages.papers.forms import PrintForm, ordinary_copy
from lifecycle.pages.papers.twin import twin_of
from lifecycle.papers.filling.any_paper import (
    RECORDS,
    About,
    PrintedRecord,
    about,
    is_signed,
    record_of,
)
from lifecycle.papers.printed import draw_print, draw_prints, pictures_in, words_of
from lifecycle.papers.stamped import stamped_text
from lifecycle.papers.standing import moved_on
from lifecycle.planning.counting import counted
from lifecycle.process.cautions import CautionFor
from lifecycle.process.rights import NOTHING
from lifecycle.queries.papers_out import (
    house_size,
    in_words,
    objects_of,
    picture_source,
    print_of,
    prints_seen_by,
    returns_of,
    subjects_of,
    with_states,
)
from lifecycle.records.models import (
    CopyWord,
    MuseumObject,
    PaperKind,
    PaperSize,
    Print,
    ProposalVersion,
    TreatmentReport,
)

MOST_AT_ONCE = 60


def base_address(request: HttpRequest) -> str:
    """Where this installation is reached, for QR codes: its setting, else the address asked."""
    return settings.NAMED_URL or request.build_absolute_uri("/").rstrip("/")


@signed_in
def print_new(request: SignedInRequest, paper: str, uid: UUID) -> HttpResponse:
    """Choose copy and size, and print; a button elsewhere may send all of it at once."""
    record = _record(paper, uid)
    kind = PaperKind(paper)
    what = about(record, request.at, kind)
    subjects = subjects_of_paper(kind, what.place, what.objects)
    role = role_for_one_of(request, TO_PRINT[kind], subjects[0] if subjects else NOTHING)
    signed = _as_signed(record)
    ordinary = _ordinary(record, kind, request.at)
    form = PrintForm(
        request.POST or None,
        paper=kind,
        signed=signed,
        initial={
            "page_size": house_size(),
            "copy_word": ordinary,
        },
    )
    form.ordinary = ordinary

    def act(data: dict[str, Any]) -> Done:
        row = print_paper(
            by=request.person,
            role=role,
            at=request.at,
            record=record,
            copy_word=data.get("copy_word") or form.ordinary,
            page_size=data["page_size"],
            base_address=base_address(request),
            expected_back_by=data.get("expected_back_by"),
            paper=kind,
        )
        pages = counted(row.pages, "page")
        said = f"{row.print_no} is made: {pages}. Open it and send it to the printer."
        return Done(said, reverse("print", args=[row.uid]))

    page = FormPage(
        title=f"Print the {kind.label} {what.number}",
        submit="Print",
        back=address_of(record._meta.model_name or "", record.uid) or reverse("papers"),
        lead="Printing gives the paper a number; what stands on it then stays as it is.",
        cautions=_cautions(what) if kind.is_label else (),
    )
    return answer_form(request, form, act, page)


def _cautions(what: About) -> Iterable[str]:
    """Whoever fixes a label has the object in hand."""
    things = list(MuseumObject.objects.filter(pk__in=[pk for pk, _ in what.objects]).order_by("pk"))
    return cautions_of_all(things, CautionFor.MOVE)


@require_POST
@signed_in
def print_chosen(request: SignedInRequest) -> HttpResponse:
    """Print the papers that were ticked, all or none, and lead to the one file of them all."""
    try:
        jobs = [_job(request, chosen) for chosen in request.POST.getlist("papers")[:MOST_AT_ONCE]]
        rows = print_pack(
            by=request.person,
            at=request.at,
            jobs=jobs,
            page_size=PaperSize(house_size()),
            base_address=base_address(request),
        )
    except Refused as refused:
        for reason in refused.reasons:
            messages.error(request, reason.text)
        return redirect("papers")
    pages = sum(row.pages for row in rows)
    numbers = f"{rows[0].print_no} to {rows[-1].print_no}" if len(rows) > 1 else rows[0].print_no
    messages.success(request, f"{numbers} are made: {counted(pages, 'page')} in one file.")
    query = urlencode({"print": [str(row.uid) for row in rows]}, doseq=True)
    return redirect(f"{reverse('papers-pack')}?{query}")


def _job(request: SignedInRequest, chosen: str) -> Job:
    """One ticked line, written as paper:uid. Errors: Http404 for anything else."""
    paper, _, text = chosen.partition(":")
    try:
        record = _record(paper, UUID(text))
    except ValueError as fault:
        raise Http404("There is no such record to print.") from fault
    kind = PaperKind(paper)
    what = about(record, request.at, kind)
    return Job(
        record=record,
        paper=kind,
        copy_word=_ordinary(record, kind, request.at),
        role=role_for_one_of(
            request,
            TO_PRINT[kind],
            next(iter(subjects_of_paper(kind, what.place, what.objects)), NOTHING),
        ),
    )


def _as_signed(record: PrintedRecord) -> bool:
    """A sent proposal is signed by its author, and printed for others to sign."""
    return is_signed(record) and not isinstance(record, ProposalVersion)


def _ordinary(record: PrintedRecord, kind: PaperKind, at: datetime) -> CopyWord:
    """The copy that is printed unasked; of a report that can't be signed yet a working copy."""
    ordinary = ordinary_copy(kind, signed=_as_signed(record))
    if isinstance(record, TreatmentReport) and any(faults_to_sign(record, at)):
        return CopyWord.SIGNED_COPY if record.signed else CopyWord.WORKING
    return ordinary


@require_GET
@signed_in
def papers_pack(request: SignedInRequest) -> HttpResponse:
    """Several prints as one file, in the order of their numbers, without what may not be seen."""
    uids = [text for text in request.GET.getlist("print")[:MOST_AT_ONCE] if _is_uuid(text)]
    rows = list(prints_seen_by(request.facts).filter(uid__in=uids).order_by("print_no"))
    if not rows:
        raise Http404("None of these prints is there, or they are about objects you may not see.")
    shown = {sha for row in rows for sha in pictures_in(words_of(row.paper, row.words))}
    drawn = draw_prints(
        [(row.paper, row.words, row.page_size) for row in rows], pictures=picture_source(shown)
    )
    answer = HttpResponse(drawn.pdf, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{rows[0].print_no}-pack.pdf"'
    return answer


def _is_uuid(text: str) -> bool:
    try:
        UUID(text)
    except ValueError:
        return False
    return True


def _record(paper: str, uid: UUID) -> PrintedRecord:
    if paper not in {kind.value for kind in RECORDS}:
        raise Http404("There is no such paper.")
    record = record_of(paper, uid)
    if record is None:
        raise Http404("There is no such record to print.")
    return record


def seen_print(request: SignedInRequest, uid: UUID) -> Print:
    """A print whose objects the person may see. Errors: Http404, without telling which it is."""
    row = print_of(uid)
    if row is None or not prints_seen_by(request.facts).filter(pk=row.pk).exists():
        raise Http404("There is no such print, or it is about objects you may not see.")
    return row


@require_GET
@signed_in
def print_page(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """One print: what became of it, whether its record moved on, and its words to read."""
    row = seen_print(request, uid)
    words = words_of(row.paper, row.words)
    (paper,) = in_words(with_states(Print.objects.filter(pk=row.pk)), request.at)
    context = {
        "print": row,
        "paper": paper,
        "about": row.about.all(),
        "record_address": address_of(row.record_kind, row.record_uid),
        "returns": returns_of(row),
        "write_off": getattr(row, "write_off", None),
        "moved_on": moved_on(row),
        "blocks": twin_of(row, words),
        "is_reading_sheet": row.paper == PaperKind.READING_SHEET,
        "reads_back": _reads_back(request, row),
    }
    return render(request, "papers/one.html", context)


def _reads_back(request: SignedInRequest, row: Print) -> bool:
    """Whether this person may read this paper back line by line."""
    deeds = deeds_to_read_back(row)
    subjects = subjects_of(objects_of([row]))
    return may_one_of(request, deeds, subjects[0] if subjects else NOTHING)


@require_GET
@signed_in
def print_pdf(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """The paper as PDF, drawn from its row: the same bytes each time."""
    row = seen_print(request, uid)
    source = picture_source(pictures_in(words_of(row.paper, row.words)))
    drawn = draw_print(row.paper, row.words, page_size=row.page_size, pictures=source)
    answer = HttpResponse(drawn.pdf, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{row.print_no}.pdf"'
    return answer


@require_GET
@signed_in
def print_text(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """The text that the digest at the foot of a print is computed from, to compute it again."""
    row = seen_print(request, uid)
    answer = HttpResponse(stamped_text(row), content_type="text/plain; charset=utf-8")
    answer["Content-Disposition"] = f'inline; filename="{row.print_no}.txt"'
    return answer
