"""Known features of a face: their rows, their places on the picture, and when last seen so."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

from lifecycle.papers.drawing.numbered_picture import mark_in_zone
from lifecycle.papers.filling.block_o import House, face_words, figure
from lifecycle.papers.sheets.shared import BLANK_FEATURES
from lifecycle.papers.words.parts import FacePage, FeatureWords, MarkWords
from lifecycle.process.words import FeatureState, Layer, LookVerdict, ReportKind, Severity
from lifecycle.records.models import Face, Look, MuseumObject, Observation, Picture

_SEVERITY = {
    Severity.TRACE: "0 trace",
    Severity.SLIGHT: "1 slight",
    Severity.PLAIN: "2 plain",
    Severity.THREATENS: "3 threatens",
}


def last_looks(museum_object: MuseumObject) -> list[Look]:
    """The looks at an object that found it as pictured, newest first; one query."""
    return list(
        Look.objects.filter(museum_object=museum_object, verdict=LookVerdict.AS_PICTURE).order_by(
            "-looked_at", "-pk"
        )
    )


def face_page(
    face: Face,
    observations: Iterable[Observation],
    *,
    next_number: int,
    of_house: House,
    picture: Picture | None = None,
    looks: Sequence[Look] = (),
) -> FacePage:
    """One face with the features on it, by number."""
    rows = sorted(
        (row for row in observations if row.feature.face_id == face.pk),
        key=lambda row: row.feature.number,
    )
    return FacePage(
        face=face_words(face, picture),
        features=tuple(_feature(row, of_house, looks) for row in rows),
        marks=tuple(mark for row in rows if (mark := _mark(row)) is not None),
        next_number=next_number,
    )


def _feature(row: Observation, of_house: House, looks: Sequence[Look]) -> FeatureWords:
    return FeatureWords(
        number=row.feature.number,
        term=row.term.label,
        layer=Layer(row.layer).label if row.layer else "",
        zone=row.zone or (f"{row.clock_position} o'clock" if row.clock_position else ""),
        size=_size(row),
        severity=_SEVERITY[Severity(row.severity)] if row.severity is not None else "",
        last_state=FeatureState(row.state).label,
        note=row.note,
        last_seen_unchanged=_last_seen(row, of_house, looks),
    )


def _size(row: Observation) -> str:
    sides = [figure(one) for one in (row.length_mm, row.width_mm) if one is not None]
    size = f"{' × '.join(sides)} mm" if sides else ""
    if row.count is not None and row.count != 1:
        size = f"{row.count} of {size}" if size else f"{row.count}"
    return size


def _mark(row: Observation) -> MarkWords | None:
    if row.box_left is not None and row.box_top is not None:
        return MarkWords(
            number=row.feature.number,
            x=float(row.box_left),
            y=float(row.box_top),
            width=float(row.box_width or 0),
            height=float(row.box_height or 0),
        )
    return mark_in_zone(row.feature.number, row.zone) if row.zone else None


def _last_seen(row: Observation, of_house: House, looks: Sequence[Look]) -> str:
    """When the feature was last seen as it is recorded: in a report, or in a look at its face.

    A look through glass counts as seen and says so.
    """
    seen_at = row.report.examined_at
    for look in looks:
        if look.face_id not in {None, row.feature.face_id}:
            continue
        if seen_at is None or look.looked_at > seen_at:
            how = "look through glass" if look.through_glass else "look"
            return f"{_day(look.looked_at, of_house)}, {how}"
        break
    if seen_at is None:
        return ""
    return f"{_day(seen_at, of_house)}, {ReportKind(row.report.kind).label}"


def _day(at: datetime, of_house: House) -> str:
    local = at.astimezone(of_house.zone)
    return f"{local.day} {local:%b %Y}"


def blank_from(following: int, page: int) -> int:
    """The first number of the empty rows on a face's page: no two pages offer the same number."""
    return following + page * BLANK_FEATURES


def merged(known: Sequence[Observation], own: Sequence[Observation]) -> list[Observation]:
    """What was known, with the report's own sight of a feature instead where it has one."""
    rows: Mapping[int, Observation] = {
        **{row.feature_id: row for row in known},
        **{row.feature_id: row for row in own},
    }
    return list(rows.values())
