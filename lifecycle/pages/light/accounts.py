"""Light accounts: what is up now, one object, one face, and when a face may be shown next."""

from datetime import timedelta
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from lifecycle.actions.light import correct_entry, enter_past_light
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.pages.light.forms import (
    AskedForm,
    EntryCorrectionForm,
    PastLightForm,
    SpanForm,
)
from lifecycle.pages.lists_as_tables import accounts_table
from lifecycle.pages.tables_out import ListTable, as_file, wanted_file
from lifecycle.papers.drawing.dose import DosePoint, dose_plot
from lifecycle.planning.counting import counted
from lifecycle.planning.course import course_of, gaps_of
from lifecycle.planning.moments import day_start, moment_of
from lifecycle.process.days import day_words
from lifecycle.process.rights import Deed
from lifecycle.queries.clock import museum_zone
from lifecycle.queries.light import FaceAccount, account_of, next_allowed_for
from lifecycle.queries.light.face_page import face_page, span_of
from lifecycle.queries.light.pages import accounts_now, looks_on_record, on_object
from lifecycle.queries.light.walking import own_walk
from lifecycle.queries.rights import about_object, museum_day
from lifecycle.records.models import Face, LightEntry, MuseumObject

MOST_GAPS = 3
"""So many gaps are named one by one in the words beside the plot."""


@require_GET
@signed_in
def light(request: SignedInRequest) -> HttpResponse:
    """What is due in the galleries, and the account of everything that is up."""
    cases = own_walk(request.person, request.facts, request.at)
    today = museum_day(request.at)
    accounts = accounts_now(request.facts, request.at)
    file = wanted_file(request, lambda: accounts_table(accounts))
    if file is not None:
        return file
    context = {
        "cases": cases,
        "due": [case for case in cases if case.first_due <= today],
        "accounts": accounts,
        "today": today,
        "may_read": any(request.may(Deed.READ_LIGHT, case.about) for case in cases),
        "may_schedule": request.may(Deed.SCHEDULE),
        "flags": looks_on_record(cases),
    }
    return render(request, "light/index.html", context)


def seen_face(request: SignedInRequest, uid: UUID) -> Face:
    """The face at this address.

    :raises NotAllowed: if this person may not see its object
    """
    face = get_object_or_404(
        Face.objects.select_related("museum_object__current_location", "thumbnail"), uid=uid
    )
    request.role_for(Deed.SEE_SHOWING, about_object(face.museum_object))
    return face


def plot_of(account: FaceAccount) -> str:
    """Return the account as a plot whose title states the finding."""
    course = course_of(account.account.inputs)
    if account.allowance is None or not course:
        return ""
    most = max(course, key=lambda point: point.lx_h)
    share = round(100 * most.lx_h / account.allowance) if account.allowance else 0
    title = f"{account.face.label}: at most {share} % of the allowance in any window"
    summary = (
        f"The dose in the rolling window is fullest on {day_words(most.day)} with "
        f"{most.lx_h:,} lx·h; the allowance is {account.allowance:,} lx·h."
    )
    gaps = gaps_of(account.account.inputs)
    if gaps:
        named = gaps[:MOST_GAPS]
        spans = ", ".join(f"{day_words(first)} to {day_words(last)}" for first, last in named)
        more = (
            f" and {counted(len(gaps) - MOST_GAPS, 'span')} more" if len(gaps) > MOST_GAPS else ""
        )
        summary += f" Hatched, charged without a reading: {spans}{more}."
    points = [DosePoint(point.day, point.lx_h, point.promised) for point in course]
    return dose_plot(
        points,
        allowance=account.allowance,
        today=account.window_to,
        title=title,
        summary=summary,
        gaps=gaps,
    )


@require_GET
@signed_in
def light_face(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """The account of one face with its entries, its plot and everything it rests on."""
    face = seen_face(request, uid)
    page = face_page(face, request.at)
    account = page.account
    form = AskedForm(request.GET or None) if "first_day" in request.GET else AskedForm()
    answer = None
    if form.is_bound and form.is_valid():
        data = form.cleaned_data
        answer = next_allowed_for(
            face,
            first_day=data["first_day"],
            days=data["days"],
            place=data["place"],
            lux=data["lux"],
            at=request.at,
        )
    context = {
        "face": face,
        "thing": face.museum_object,
        "account": account,
        "plot": plot_of(account),
        "form": form,
        "answer": answer,
        "page": page,
        **_span_asked(request, account),
        "may_enter": request.may(Deed.EXAMINE, about_object(face.museum_object)),
    }
    return render(request, "light/face.html", context)


def _span_asked(request: SignedInRequest, account: FaceAccount) -> dict[str, object]:
    """The form for a span of one's own, and its dose when a good one was asked for."""
    form = SpanForm(request.GET if "since" in request.GET else None)
    if not form.is_bound or not form.is_valid():
        return {"span_form": form, "span": None}
    data = form.cleaned_data
    return {"span_form": form, "span": span_of(account, data["since"], data["until"])}


@require_GET
@signed_in
def light_object(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """The accounts of all faces of one object; the worst of them is the object's figure."""
    thing = get_object_or_404(MuseumObject.objects.select_related("current_location"), uid=uid)
    request.role_for(Deed.SEE_SHOWING, about_object(thing))
    context = {"thing": thing, "light": on_object(thing, request.at)}
    return render(request, "light/object.html", context)


@require_GET
@signed_in
def light_csv(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """The entries of one account as a table: the data behind page and plot."""
    face = seen_face(request, uid)
    account = account_of(face, request.at)
    headings = (
        *("object", "face", "kind", "what", "from", "until", "lit_hours", "public_hours"),
        *("low_lx_h", "likely_lx_h", "high_lx_h", "in_window_lx_h", "charged", "basis", "source"),
    )
    rows = [
        [
            *(face.museum_object.object_number, face.label, line.kind, line.label),
            *(line.since, line.until, line.lit_minutes / 60, line.public_minutes / 60),
            *(*line.dose.lx_h, line.in_window.likely_lx_h, line.charged, line.basis, line.source),
        ]
        for line in account.lines
    ]
    name = f"light {face.museum_object.object_number} {face.label}"
    return as_file(ListTable(name, headings, rows), "csv")


@signed_in
def past_light(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Enter a past showing of a face as an estimate."""
    face = seen_face(request, uid)
    role = request.role_for(Deed.EXAMINE, about_object(face.museum_object))
    form = PastLightForm(request.POST or None)
    zone = museum_zone()

    def act(data: dict[str, object]) -> str:
        first, last = form.cleaned_data["from_on"], form.cleaned_data["until_on"]
        enter_past_light(
            by=request.person,
            role=role,
            at=request.at,
            face=face,
            from_at=moment_of(day_start(first, zone), zone),
            until_at=moment_of(day_start(last + timedelta(1), zone), zone),
            low=form.cleaned_data["low"],
            likely=form.cleaned_data["likely"],
            high=form.cleaned_data["high"],
            basis=form.cleaned_data["basis"],
            source=form.cleaned_data["source"],
        )
        return f"The past showing stands in the account of {face.label}."

    page = FormPage(
        title=f"Past light of {face.museum_object.object_number}, {face.label}",
        submit="Enter the estimate",
        back=reverse("light-face", args=[face.uid]),
        lead="Counts as an estimate with its low and high case, and is marked so for ever.",
        draft=f"past-light-{face.uid}",
    )
    return answer_form(request, form, act, page)


@signed_in
def entry_correct(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Correct an entry by a new row; the old one stays readable."""
    entry = get_object_or_404(LightEntry.objects.select_related("face__museum_object"), uid=uid)
    face = entry.face
    role = request.role_for(Deed.EXAMINE, about_object(face.museum_object))
    form = EntryCorrectionForm(
        request.POST or None,
        initial={"low": entry.low_lx_h, "likely": entry.likely_lx_h, "high": entry.high_lx_h},
    )

    def act(data: dict[str, object]) -> str:
        correct_entry(
            by=request.person,
            role=role,
            at=request.at,
            entry=entry,
            low=form.cleaned_data["low"],
            likely=form.cleaned_data["likely"],
            high=form.cleaned_data["high"],
            why=form.cleaned_data["why"],
        )
        return "The entry is corrected; the old one is kept."

    page = FormPage(
        title=f"Correct an entry of {face.museum_object.object_number}, {face.label}",
        submit="Correct the entry",
        back=reverse("light-face", args=[face.uid]),
        lead=f"{entry.kind}: {entry.basis} ({entry.source}).",
    )
    return answer_form(request, form, act, page)
