"""When did it change? Between which looks, which looks did not look there, what happened between.

The interval is computed from signed reports and from dated looks in the gallery; the verdict is a
person's. A report that covers the face but says 'not looked at' or 'could not be seen' of the
feature proves nothing and is listed as such. A look through glass counts as seen, and says so.
"""

from dataclasses import dataclass
from datetime import datetime

from lifecycle.process.words import FeatureState, LookVerdict, ReportKind
from lifecycle.queries.condition.events import Happening, happenings
from lifecycle.queries.condition.known import CHANGED, SEEN, signed_reports
from lifecycle.records.models.condition import ConditionReport, Observation
from lifecycle.records.models.light import Look


@dataclass(frozen=True, slots=True, kw_only=True)
class Sighting:
    """One dated look: a report or a look in the gallery. ``hint`` is what it was asked to watch."""

    at: datetime
    source: str
    by: str
    report: ConditionReport | None = None
    picture_sha256: str = ""
    hint: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Dating:
    """The answer for one changed or new feature, with everything it rests on."""

    observation: Observation
    last_unchanged: Sighting | None
    first_changed: Sighting
    did_not_look: tuple[Sighting, ...]
    between: tuple[Happening, ...]
    flagged: tuple[Sighting, ...]
    picture_before: str = ""
    """SHA-256 of the latest picture of a look that still shows it unchanged; empty for none."""

    picture_after: str = ""

    @property
    def days(self) -> int | None:
        """Days between the two looks; None if it was never seen unchanged."""
        if self.last_unchanged is None:
            return None
        return (self.first_changed.at - self.last_unchanged.at).days


def dating(observation: Observation) -> Dating:
    """Return between which looks a feature changed. A fixed number of queries, however many looks.

    Needs ``observation.report.museum_object`` and ``observation.feature`` loaded.
    """
    report = observation.report
    now = report.examined_at or report.entered_at
    sightings = [
        *_reports_before(observation, now),
        *_looks_before(observation, now),
    ]
    sightings.sort(key=lambda row: row[1].at)
    last: Sighting | None = None
    first = _of_report(report, now, _picture_today(observation))
    did_not_look: list[Sighting] = []
    flagged: list[Sighting] = []
    before = ""
    for what, sighting in sightings:
        if what == "unchanged":
            last = sighting
            before = sighting.picture_sha256 or before
            did_not_look, flagged = [], []
        elif what == "flagged":
            flagged.append(sighting)
        else:
            did_not_look.append(sighting)
    since = last.at if last else None
    return Dating(
        observation=observation,
        last_unchanged=last,
        first_changed=first,
        did_not_look=tuple(did_not_look),
        flagged=tuple(flagged),
        between=tuple(happenings(report.museum_object, since=since, until=first.at)),
        picture_before=before,
        picture_after=_picture_today(observation),
    )


def _picture_today(observation: Observation) -> str:
    """The detail of this feature, or the whole face, in the report that found the change."""
    if observation.picture is not None:
        return observation.picture.sha256
    face = observation.report.report_faces.filter(face=observation.feature.face_id)
    return face.values_list("picture__sha256", flat=True).first() or ""


def _of_report(report: ConditionReport, at: datetime, picture: str = "") -> Sighting:
    return Sighting(
        at=at,
        source=f"report {report} ({ReportKind(report.kind).label})",
        by=report.entered_by.full_name,
        report=report,
        picture_sha256=picture,
    )


def _reports_before(observation: Observation, now: datetime) -> list[tuple[str, Sighting]]:
    """Every earlier signed report that covered the feature's face, and what it says of it."""
    feature = observation.feature
    earlier = list(
        signed_reports(observation.report.museum_object)
        .filter(
            examined_at__lt=now,
            report_faces__face=feature.face,
            report_faces__dropped=False,
        )
        .exclude(pk=observation.report_id)
        .select_related("entered_by")
    )
    rows = {
        row.report_id: row
        for row in Observation.objects.filter(feature=feature, report__in=earlier, taken_back=False)
    }
    shown = feature.face.in_reports.filter(report__in=earlier, dropped=False)
    pictures = dict(shown.values_list("report_id", "picture__sha256"))
    found = []
    for report in earlier:
        sighting = _of_report(report, report.examined_at or now, pictures.get(report.pk) or "")
        found.append((_says(rows.get(report.pk), observation), sighting))
    return found


def _says(row: Observation | None, today: Observation) -> str:
    """What an earlier report proves about the change seen today."""
    if row is None:
        # Its face was looked at and the feature was not there: for a new one that is the proof.
        return "unchanged" if today.state == FeatureState.FIRST_RECORD else "did not look"
    if row.state not in SEEN:
        return "did not look"
    # Already in the state of today: a 'worse' that an earlier report called worse is a further
    # change since then, so that report shows it before this change.
    return "unchanged"


def _looks_before(observation: Observation, now: datetime) -> list[tuple[str, Sighting]]:
    """Looks in the gallery at this face before now, through glass or not."""
    looks = (
        Look.objects.filter(museum_object=observation.report.museum_object, looked_at__lt=now)
        .select_related("looked_by", "picture")
        .order_by("looked_at", "pk")
    )
    found = []
    for look in looks:
        if look.face_id not in {None, observation.feature.face_id}:
            continue
        how = "through glass" if look.through_glass else "without glass"
        sighting = Sighting(
            at=look.looked_at,
            source=f"look in the gallery, {how}",
            by=look.looked_by.full_name,
            picture_sha256=look.picture.sha256 if look.picture else "",
            hint=look.note or look.not_reached_because,
        )
        what = {LookVerdict.AS_PICTURE: "unchanged", "": "did not look"}.get(
            look.verdict, "flagged"
        )
        found.append((what, sighting))
    return found


def open_changes(report: ConditionReport) -> list[Observation]:
    """Return the changed or new features of a report that no person has answered yet."""
    if report.compared_with_id is None:
        return []
    return list(
        report.observations.filter(
            taken_back=False, state__in=sorted(CHANGED), verdicts__isnull=True
        )
        .select_related("feature__face", "term")
        .order_by("feature__number")
    )
