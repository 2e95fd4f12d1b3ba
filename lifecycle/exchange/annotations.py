"""Findings as W3C Web Annotations (JSON-LD): what a report saw, and where on which picture.

One ``AnnotationCollection`` with one page for a report (Web Annotation Data Model, 5). Names of
records are ``urn:uuid`` IRIs (RFC 9562), so that a copy of the file says the same anywhere; where
a picture can be fetched is the caller's to say.
"""

from collections.abc import Callable, Iterable
from datetime import UTC, datetime
from typing import Any, Final
from uuid import UUID

from lifecycle.process.words import FeatureState, Layer, Severity
from lifecycle.queries.marks import Marked, Marks
from lifecycle.records.models import ConditionReport, Observation, Picture
from lifecycle.records.models.condition.words import Zone

CONTEXT: Final = "http://www.w3.org/ns/anno.jsonld"
MEDIA_TYPE: Final = 'application/ld+json; profile="http://www.w3.org/ns/anno.jsonld"'
LANGUAGE: Final = "en"


def collection(
    report: ConditionReport,
    rows: Iterable[Observation],
    marks: Marks,
    *,
    pictures: dict[int, Picture],
    address: Callable[[Picture], str],
) -> dict[str, Any]:
    """Return a report's findings as an annotation collection.

    :param rows: findings with feature, face, term and who wrote them
    :param pictures: the picture of each face in the report, by the face's id
    :param address: the IRI under which a picture is found
    """
    items = [
        _annotation(row, marks.of(row), pictures.get(row.feature.face_id), address) for row in rows
    ]
    name = _urn(report.uid)
    label = f"Findings of condition report {report.report_no}, version {report.version}"
    return {
        "@context": CONTEXT,
        "id": name,
        "type": "AnnotationCollection",
        "label": label,
        "total": len(items),
        "first": {
            "id": f"{name}#findings",
            "type": "AnnotationPage",
            "startIndex": 0,
            "items": items,
        },
    }


def _urn(uid: UUID) -> str:
    return f"urn:uuid:{uid}"


def _moment(at: datetime) -> str:
    return f"{at.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}"


def _annotation(
    row: Observation,
    found: Marked | None,
    picture: Picture | None,
    address: Callable[[Picture], str],
) -> dict[str, Any]:
    return {
        "id": _urn(row.uid),
        "type": "Annotation",
        "motivation": "describing",
        "created": _moment(row.written_at),
        "creator": {
            "id": _urn(row.written_by.uid),
            "type": "Person",
            "name": row.written_by.full_name,
        },
        "generator": {"type": "Software", "name": "Showrest"},
        "body": [
            {"type": "TextualBody", "purpose": "tagging", "value": row.term.label},
            {
                "type": "TextualBody",
                "purpose": "describing",
                "format": "text/plain",
                "language": LANGUAGE,
                "value": in_words(row, found),
            },
        ],
        "target": _target(row, found, picture, address),
    }


def _target(
    row: Observation,
    found: Marked | None,
    picture: Picture | None,
    address: Callable[[Picture], str],
) -> dict[str, Any] | str:
    """The marked part of its picture; else the picture; else the face itself."""
    if found is not None and row.marked_on is not None and row.selector is not None:
        return {"source": _image(row.marked_on, address), "selector": row.selector}
    if picture is not None:
        return _image(picture, address)
    return _urn(row.feature.face.uid)


def _image(picture: Picture, address: Callable[[Picture], str]) -> dict[str, str]:
    return {"id": address(picture), "type": "Image", "format": picture.mime}


def in_words(row: Observation, found: Marked | None) -> str:
    """Return a finding as one sentence part after another, for whoever has no picture."""
    parts = [f"F{row.feature.number}: {row.term.label}", FeatureState(row.state).label]
    parts.append(f"on {row.feature.face.label}")
    if row.zone:
        parts.append(f"zone {Zone(row.zone).label}")
    if found is not None:
        parts.append(f"{found.said.shape} in {found.said.cells}: {found.said.where}")
        if found.said.size:
            parts.append(found.said.size)
    if row.clock_position is not None:
        parts.append(f"at {row.clock_position} o'clock")
    for name, value in (("length", row.length_mm), ("width", row.width_mm)):
        if value is not None:
            parts.append(f"{name} {value.normalize():f} mm")
    if row.severity is not None:
        parts.append(f"severity {Severity(row.severity).label}")
    if row.layer:
        parts.append(Layer(row.layer).label)
    if row.note:
        parts.append(row.note)
    return "; ".join(parts)
