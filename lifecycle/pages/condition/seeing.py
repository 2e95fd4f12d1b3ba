"""Which report a page is about, who may see it, and what must be known before the work."""

from uuid import UUID

from django.http import Http404
from django.shortcuts import get_object_or_404
from django.urls import reverse

from lifecycle.actions.condition.draft import about_report, deed_for
from lifecycle.pages.display.seeing import Cautions, cautions_of
from lifecycle.pages.door import SignedInRequest
from lifecycle.process.cautions import CautionFor
from lifecycle.process.rights import Deed
from lifecycle.process.words import LightKind, ReportKind
from lifecycle.queries.condition.sheet import report_by_uid
from lifecycle.queries.rights import about_showing
from lifecycle.records.models import Showing
from lifecycle.records.models.condition import ConditionReport, Observation

AT_THE_CASE = {
    ReportKind.DEINSTALL_AT_CASE,
    ReportKind.AT_INSTALL,
    ReportKind.IN_DISPLAY,
    ReportKind.OFF_GOING_FACE,
    ReportKind.ON_COMING_FACE,
}


def seen_report(request: SignedInRequest, uid: UUID) -> ConditionReport:
    """The report at this address; what is written at the case is shown in gallery light.

    :raises Http404: if there is none
    :raises NotAllowed: if this person may not see its object
    """
    report = report_by_uid(uid)
    if report is None:
        raise Http404
    # Whoever may write part A sees it, though the rest of the showing may not be theirs.
    about = about_report(report)
    if not (report.kind == ReportKind.DEINSTALL_AT_CASE and request.may(Deed.PART_A, about)):
        request.role_for(Deed.SEE_SHOWING, about)
    if report.kind in AT_THE_CASE:
        request.kept_dark = True
    return report


def showing_at_the_case(request: SignedInRequest, uid: UUID, kind: ReportKind) -> Showing:
    """The showing a report is started for; part A is open to any who may take down.

    :raises NotAllowed: if it is neither theirs to see nor to take down
    """
    showing = get_object_or_404(
        Showing.objects.select_related(
            "museum_object__current_location__parent", "exhibition", "place__parent"
        ),
        uid=uid,
    )
    at_case = kind == ReportKind.DEINSTALL_AT_CASE
    about = about_showing(showing, at_take_down=at_case)
    if not (at_case and request.may(Deed.PART_A, about)):
        request.role_for(Deed.SEE_SHOWING, about)
    if kind in AT_THE_CASE:
        request.kept_dark = True
    return showing


def seen_finding(request: SignedInRequest, uid: UUID) -> Observation:
    """The finding of a report at this address, with its report.

    :raises Http404: if there is none
    :raises NotAllowed: if this person may not see its object
    """
    seen = get_object_or_404(
        Observation.objects.select_related(
            "feature__face", "term", "seen_in", "picture", "marked_on"
        ),
        uid=uid,
    )
    seen.report = seen_report(request, seen.report.uid)
    return seen


def may_write(request: SignedInRequest, report: ConditionReport) -> bool:
    """Whether this person may write this kind of report, and it is still open."""
    still_open = not report.signed and report.struck_at is None
    return still_open and request.may(deed_for(report.kind), about_report(report))


def address(report: ConditionReport, part: str = "") -> str:
    """Where a report is; ``part`` is an anchor on its page."""
    return f"{reverse('condition-report', args=[report.uid])}{'#' + part if part else ''}"


def cautions_before(report: ConditionReport) -> Cautions:
    """What somebody who examines this object has to know first; UV as soon as it is used."""
    activity = CautionFor.EXAMINE
    if report.kind == ReportKind.DEINSTALL_AT_CASE:
        activity = CautionFor.TAKE_DOWN
    elif report.lights_used.filter(light=LightKind.UV_FLUORESCENCE, taken_back=False).exists():
        activity = CautionFor.EXAMINE_UV
    return cautions_of(report.museum_object, activity)
