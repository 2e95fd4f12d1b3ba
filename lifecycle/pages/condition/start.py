"""Start a report: from a showing, or from an object."""

from typing import Any, Final
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from lifecycle.actions.condition.draft import deed_for
from lifecycle.actions.condition.start import start_report
from lifecycle.pages.condition.forms import StartForm
from lifecycle.pages.condition.seeing import address, showing_at_the_case
from lifecycle.pages.display.seeing import cautions_of, showing_address
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import Done, FormPage, answer_form
from lifecycle.pages.objects.one import seen_object
from lifecycle.process.cautions import CautionFor
from lifecycle.process.rights import SubjectFacts
from lifecycle.process.words import Certainty, ReportKind, SeenAs
from lifecycle.queries.condition.overview import part_of
from lifecycle.queries.rights import about_object, about_showing, museum_day
from lifecycle.records.models import Face, MuseumObject, Showing, Vocabulary, Word
from lifecycle.records.models.condition import ConditionReport

#: Why a report of each kind is written as a rule; codes of the open list of reasons.
_WHY: Final = {
    ReportKind.BASELINE: "requested-for-exhibition",
    ReportKind.INCOMING: "after-move",
    ReportKind.OUTGOING: "before-move",
    ReportKind.AFTER_TREATMENT: "after-treatment",
    ReportKind.BEFORE_INSTALL: "requested-for-exhibition",
    ReportKind.AT_INSTALL: "requested-for-exhibition",
    ReportKind.IN_DISPLAY: "scheduled-look",
    ReportKind.OFF_GOING_FACE: "turn",
    ReportKind.ON_COMING_FACE: "turn",
    ReportKind.DEINSTALL_AT_CASE: "taken-down",
    ReportKind.DEINSTALL_AT_BENCH: "taken-down",
    ReportKind.RETURN: "after-move",
    ReportKind.INCIDENT: "incident",
    ReportKind.CALL_BACK: "scheduled-look",
}

NOTHING_HERE = "no signed report of it is kept here"

AT_CASE = {ReportKind.AT_INSTALL, ReportKind.IN_DISPLAY, ReportKind.DEINSTALL_AT_CASE}


@signed_in
def start_for_showing(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Start a report about the object of a showing; the kind comes with the address."""
    showing = showing_at_the_case(request, uid, _kind(request))
    if request.method == "GET" and (draft := _draft_of(request, showing)) is not None:
        messages.info(request, f"{draft} is already being written; go on with it here.")
        return redirect(address(draft))
    wanted = _looked_at(showing, _kind(request))
    wanted = wanted or [row.face for row in _wanted(showing)]
    back = showing_address(showing, "condition")
    about = about_showing(showing, at_take_down=_kind(request) in AT_CASE)
    return _start(request, showing.museum_object, showing, wanted, about, back)


@signed_in
def start_for_object(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Start a report about an object outside any showing."""
    museum_object = seen_object(request, uid)
    faces = list(museum_object.faces.order_by("order", "pk"))
    back = reverse("object", args=[museum_object.uid])
    return _start(request, museum_object, None, faces, about_object(museum_object), back)


def _wanted(showing: Showing) -> Any:
    rows = showing.faces_wanted.filter(struck=False).select_related("face")
    return rows.order_by("order", "pk")


def _draft_of(request: SignedInRequest, showing: Showing) -> ConditionReport | None:
    """The open draft of the kind a link asks for: two people go on with one, not with two."""
    asked = request.GET.get("kind", "")
    if asked not in set(ReportKind):
        return None
    report = part_of(showing, ReportKind(asked))
    return report if report is not None and not report.signed else None


def _on_show(showing: Showing) -> list[Face]:
    """The face that is to be seen now, or was last: what a look at the case is about."""
    periods = showing.display_periods.filter(struck_at=None).select_related("face")
    last = periods.order_by("-opened_at", "-pk").first()
    return [last.face] if last is not None else []


def _looked_at(showing: Showing, kind: ReportKind) -> list[Face]:
    """The faces a report of this kind is about, if it is not about all of the plan."""
    if kind in AT_CASE or kind is ReportKind.OFF_GOING_FACE:
        return _on_show(showing)
    if kind is ReportKind.ON_COMING_FACE:
        shown = {face.pk for face in _on_show(showing)}
        plan = [row.face for row in _wanted(showing)]
        at = next((n for n, face in enumerate(plan) if face.pk in shown), -1)
        return plan[at + 1 : at + 2]
    return []


def _reason_of(kind: ReportKind) -> UUID | None:
    """The usual reason of a kind, if the museum's list still has it."""
    words = Word.objects.filter(vocabulary=Vocabulary.REPORT_REASON, retired_on=None)
    return words.filter(code=_WHY.get(kind, "")).values_list("uid", flat=True).first()


_TITLES = {
    ReportKind.DEINSTALL_AT_CASE: "Part A, as found at the case:",
    ReportKind.DEINSTALL_AT_BENCH: "Part B, at the bench:",
}


def _kind(request: SignedInRequest) -> ReportKind:
    asked = request.POST.get("kind") or request.GET.get("kind", "")
    return ReportKind(asked) if asked in set(ReportKind) else ReportKind.BASELINE


def _start(
    request: SignedInRequest,
    museum_object: MuseumObject,
    showing: Showing | None,
    faces: list[Face],
    about: SubjectFacts,
    back: str,
) -> HttpResponse:
    kind = _kind(request)
    role = request.role_for(deed_for(kind), about)
    not_for_a_showing = showing is None and kind is ReportKind.BASELINE
    initial = {
        "kind": kind,
        "faces": [face.uid for face in faces] or [f.uid for f in museum_object.faces.all()],
        "none_known": NOTHING_HERE,
        "reason": None if not_for_a_showing else _reason_of(kind),
        "examined_at": request.at,
        "certainty": Certainty.EXACT,
        "examiners": [request.person.uid],
        "where": museum_object.current_location.uid if museum_object.current_location else "",
        "seen_as": SeenAs.IN_CASE_THROUGH_GLASS if kind in AT_CASE else SeenAs.UNHOUSED,
    }
    form = StartForm(request.POST or None, initial=initial)
    form.fill(museum_day(request.at))
    form.offer_faces(museum_object)
    if showing is None:
        form.outside_a_showing()

    def act(data: dict[str, Any]) -> Done:
        report = start_report(
            museum_object=museum_object,
            kind=kind,
            faces=list(data["faces"]),
            reason=data["reason"],
            occasion=form.occasion(),
            by=request.person,
            role=role,
            at=request.at,
            showing=showing,
            none_known=data.get("none_known", ""),
        )
        return Done(f"Report {report} is started.", address(report))

    page = FormPage(
        title=f"{_TITLES.get(kind, 'Start a condition report on')} {museum_object.object_number}",
        submit="Start the report",
        back=back,
        lead="Look at the earlier reports first; then write what is there, and apart from it what "
        "it means.",
        draft=f"condition-start-{showing.uid if showing else museum_object.uid}",
        cautions=cautions_of(
            museum_object,
            CautionFor.TAKE_DOWN if kind == ReportKind.DEINSTALL_AT_CASE else CautionFor.EXAMINE,
        ),
    )
    return answer_form(request, form, act, page)
