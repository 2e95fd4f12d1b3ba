"""Known features of a face: their rows, their places on the picture, and when last seen so."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

from lifecycle.papers.filling.block_o import House, face_words, figure
from lifecycle.papers.filling.marks import grid_of, mark_words
from lifecycle.papers.sheets.shared import BLANK_FEATURES
from lifecycle.papers.words.parts import FacePage, FeatureWords
from lifecycle.process.words import FeatureState, Layer, LookVerdict, ReportKind, Severity
from lifecycle.queries.earlier_marks import lying_on
from lifecycle.queries.marks import Marks, marks_of
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


def last_look(
    looks: Iterable[Look], face_id: int | None, *, until: datetime | None = None
) -> Look | None:
    """The newest of these looks that was at this face, or at the whole object, up to a moment.

    Without a face, a look at any of them counts.
    """
    return next(
        (
            look
            for look in looks
            if (face_id is None or look.face_id in {None, face_id})
            and (until is None or look.looked_at <= until)
        ),
        None,
    )


def face_page(
    face: Face,
    observations: Iterable[Observation],
    *,
    next_number: int,
    of_house: House,
    picture: Picture | None = None,
    looks: Sequence[Look] = (),
    signed_at: datetime | None = None,
) -> FacePage:
    """One face with the features on it, by number.

    ``signed_at``: a signed report's marks are measured with the scale that stood then.
    """
    rows = sorted(
        (row for row in observations if row.feature.face_id == face.pk),
        key=lambda row: row.feature.number,
    )
    shown = picture or face.thumbnail
    marks = marks_of(rows, pictures=[shown], at=signed_at)
    grid = grid_of(marks.planes.get(shown.pk)) if shown else None
    maps = lying_on(shown, rows, marks) if shown else {}
    drawn = (mark_words(row, marks, on=shown, grid=grid, maps=maps) for row in rows)
    return FacePage(
        face=face_words(face, picture),
        features=tuple(_feature(row, of_house, looks, marks) for row in rows),
        marks=tuple(mark for mark in drawn if mark is not None),
        next_number=next_number,
        grid=grid,
    )


def _feature(
    row: Observation, of_house: House, looks: Sequence[Look], marks: Marks
) -> FeatureWords:
    found = marks.of(row)
    clock = f"{row.clock_position} o'clock" if row.clock_position else ""
    return FeatureWords(
        number=row.feature.number,
        term=row.term.label,
        layer=Layer(row.layer).label if row.layer else "",
        zone=row.zone or (found.said.cells if found else "") or clock,
        size=_size(row, found.said.size_short if found else ""),
        severity=_SEVERITY[Severity(row.severity)] if row.severity is not None else "",
        last_state=FeatureState(row.state).label,
        note=row.note,
        last_seen_unchanged=_last_seen(row, of_house, looks),
    )


def _size(row: Observation, drawn: str) -> str:
    """What was measured on the object; failing that, what the mark on the picture measures."""
    sides = [figure(one) for one in (row.length_mm, row.width_mm) if one is not None]
    size = f"{' × '.join(sides)} mm" if sides else drawn and f"{drawn}, drawn"
    if row.count is not None and row.count != 1:
        size = f"{row.count} of {size}" if size else f"{row.count}"
    return size


def _last_seen(row: Observation, of_house: House, looks: Sequence[Look]) -> str:
    """When the feature was last seen as it is recorded: in a report, or in a look at its face.

    A look through glass counts as seen and says so.
    """
    seen_at = row.report.examined_at
    look = last_look(looks, row.feature.face_id)
    if look is not None and (seen_at is None or look.looked_at > seen_at):
        how = "look through glass" if look.through_glass else "look"
        return f"{_day(look.looked_at, of_house)}, {how}"
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
