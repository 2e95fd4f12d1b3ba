"""What each earlier look proves about the features of a report: seen so, changed, not looked at.

A report that covers the face but says 'not looked at' or 'could not be seen' of a feature proves
nothing, and neither does a glance without a row of it, unless the glance says that nothing further
was seen on that face. A look through glass counts as seen, and says so.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from enum import Enum
from typing import Final

from lifecycle.process.words import FeatureState, LookVerdict, ReportKind, SeenAs
from lifecycle.queries.condition.known import CHANGED, SEEN, saw_all, signed_reports
from lifecycle.records.models.condition import ConditionReport, Observation, ReportFace
from lifecycle.records.models.light import Look

_THROUGH_GLASS: Final = frozenset({SeenAs.IN_CASE_THROUGH_GLASS, SeenAs.FRAMED_GLAZED})


@dataclass(frozen=True, slots=True, kw_only=True)
class Sighting:
    """One dated look: a report or a look in the gallery. ``hint`` is what it was asked to watch."""

    at: datetime
    source: str
    by: str
    report: ConditionReport | None = None
    picture_sha256: str = ""
    hint: str = ""


class Says(Enum):
    """What one look proves of one feature."""

    UNCHANGED = 1
    CHANGED = 2
    FLAGGED = 3
    NOTHING = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """Between which looks a feature changed, with the looks between that prove nothing.

    ``last_seen`` is the latest look before this report that saw it at all.
    """

    last_unchanged: Sighting | None
    first_changed: Sighting
    last_seen: Sighting | None
    did_not_look: tuple[Sighting, ...]
    flagged: tuple[Sighting, ...]
    picture_before: str = ""

    @property
    def days(self) -> int | None:
        """Days between the two looks; None if it was never seen unchanged."""
        if self.last_unchanged is None:
            return None
        return (self.first_changed.at - self.last_unchanged.at).days


def intervals(report: ConditionReport, rows: Sequence[Observation]) -> dict[int, Interval]:
    """Return the interval of each row of one report, by its id.

    Four queries, however many rows, reports and looks. The rows need their feature loaded.
    """
    now = report.examined_at or report.entered_at
    earlier = _reports_before(report, now)
    covered = _covered([report, *earlier])
    said = _said(earlier, rows)
    looks = _looks_before(report, now)
    return {
        row.pk: _interval(
            [
                *_of_reports(row, report, earlier, covered, said),
                *(
                    (says, seen)
                    for face, says, seen in looks
                    if face in {None, row.feature.face_id}
                ),
            ],
            today=_today(row, report, covered, now),
        )
        for row in rows
    }


def _interval(looks: Iterable[tuple[Says, Sighting]], *, today: Sighting) -> Interval:
    """Walk the looks in time order up to the first that saw the change."""
    last: Sighting | None = None
    seen: Sighting | None = None
    first = today
    blind: list[Sighting] = []
    flagged: list[Sighting] = []
    before = ""
    for says, look in sorted(looks, key=lambda pair: pair[1].at):
        if says in {Says.UNCHANGED, Says.CHANGED}:
            seen = look
        if first is not today:
            continue
        if says is Says.UNCHANGED:
            last, before = look, look.picture_sha256 or before
            blind, flagged = [], []
        elif says is Says.CHANGED:
            first = look
        elif says is Says.FLAGGED:
            flagged.append(look)
        else:
            blind.append(look)
    return Interval(
        last_unchanged=last,
        first_changed=first,
        last_seen=seen,
        did_not_look=tuple(blind),
        flagged=tuple(flagged),
        picture_before=before,
    )


def _reports_before(report: ConditionReport, now: datetime) -> list[ConditionReport]:
    return list(
        signed_reports(report.museum_object)
        .filter(examined_at__lt=now)
        .exclude(pk=report.pk)
        .select_related("entered_by")
        .defer("signed_text")
    )


def _covered(reports: Sequence[ConditionReport]) -> dict[tuple[int, int], tuple[bool, str]]:
    """By report and face: whether it said 'nothing further seen' there, and its picture."""
    rows = ReportFace.objects.filter(report__in=[row.pk for row in reports], dropped=False)
    return {
        (report_id, face_id): (nothing_further, sha256 or "")
        for report_id, face_id, nothing_further, sha256 in rows.values_list(
            "report_id", "face_id", "nothing_further", "picture__sha256"
        )
    }


def _said(
    reports: Sequence[ConditionReport], rows: Sequence[Observation]
) -> dict[tuple[int, int], str]:
    """By report and feature: what the earlier report answered."""
    found = Observation.objects.filter(
        report__in=[report.pk for report in reports],
        feature__in={row.feature_id for row in rows},
        taken_back=False,
    )
    return {
        (report_id, feature_id): state
        for report_id, feature_id, state in found.values_list("report_id", "feature_id", "state")
    }


def _of_reports(
    row: Observation,
    report: ConditionReport,
    earlier: Sequence[ConditionReport],
    covered: dict[tuple[int, int], tuple[bool, str]],
    said: dict[tuple[int, int], str],
) -> Iterable[tuple[Says, Sighting]]:
    """Every earlier report that covered the feature's face, with what it says of the feature."""
    against = report.compared_with
    since = against.examined_at if against is not None else None
    for one in earlier:
        face = covered.get((one.pk, row.feature.face_id))
        if face is None or one.examined_at is None:
            continue
        nothing_further, picture = face
        after_compared = since is not None and one.examined_at > since
        state = said.get((one.pk, row.feature_id))
        if state is None:
            new = row.state == FeatureState.FIRST_RECORD
            whole = saw_all(one, nothing_further=nothing_further)
            says = Says.UNCHANGED if new and whole else Says.NOTHING
        elif state not in SEEN:
            says = Says.NOTHING
        else:
            # Before the report compared with, what was seen then is what today is held against.
            says = Says.CHANGED if after_compared and state in CHANGED else Says.UNCHANGED
        yield says, of_report(one, one.examined_at, picture)


def of_report(report: ConditionReport, at: datetime, picture: str = "") -> Sighting:
    """A report as one look; it says so where it was made through glass."""
    glass = ", through glass" if report.seen_as in _THROUGH_GLASS else ""
    return Sighting(
        at=at,
        source=f"report {report} ({ReportKind(report.kind).label}{glass})",
        by=report.entered_by.full_name,
        report=report,
        picture_sha256=picture,
    )


def _today(
    row: Observation,
    report: ConditionReport,
    covered: dict[tuple[int, int], tuple[bool, str]],
    now: datetime,
) -> Sighting:
    _, picture = covered.get((report.pk, row.feature.face_id), (False, ""))
    return of_report(report, now, picture)


def _looks_before(
    report: ConditionReport, now: datetime
) -> list[tuple[int | None, Says, Sighting]]:
    """Looks in the gallery before now, through glass or not, each with the face it was at."""
    looks = (
        Look.objects.filter(museum_object=report.museum_object, looked_at__lt=now)
        .select_related("looked_by", "picture")
        .order_by("looked_at", "pk")
    )
    says = {LookVerdict.AS_PICTURE.value: Says.UNCHANGED, "": Says.NOTHING}
    return [(look.face_id, says.get(look.verdict, Says.FLAGGED), _of_look(look)) for look in looks]


def _of_look(look: Look) -> Sighting:
    how = "through glass" if look.through_glass else "without glass"
    return Sighting(
        at=look.looked_at,
        source=f"look in the gallery, {how}",
        by=look.looked_by.full_name,
        picture_sha256=look.picture.sha256 if look.picture else "",
        hint=look.note or look.not_reached_because,
    )


def with_detail(interval: Interval, row: Observation) -> Interval:
    """The same interval, its change pictured by the detail of the feature where there is one."""
    if row.picture is None or interval.first_changed.report != row.report:
        return interval
    detailed = replace(interval.first_changed, picture_sha256=row.picture.sha256)
    return replace(interval, first_changed=detailed)
