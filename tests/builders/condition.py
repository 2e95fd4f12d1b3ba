"""Builders of condition reports; everything goes through the real actions."""

from datetime import datetime, timedelta
from decimal import Decimal
from io import BytesIO
from typing import Any

from PIL import Image

from lifecycle.actions.condition.findings import Box, Sight, add_finding
from lifecycle.actions.condition.head import (
    Circumstances,
    Conclusions,
    save_circumstances,
    save_conclusions,
)
from lifecycle.actions.condition.looking import add_light, put_face_picture, say_not_seen
from lifecycle.actions.condition.sections import save_section
from lifecycle.actions.condition.sign import sign_report
from lifecycle.actions.condition.start import Occasion, start_report
from lifecycle.actions.pictures import store_picture
from lifecycle.actions.signing import with_account
from lifecycle.process.stages import Role
from lifecycle.process.words import (
    CompareResult,
    FeatureState,
    Fit,
    Grade,
    Layer,
    LightKind,
    PlaceKind,
    ReportKind,
    SeenAs,
    Stability,
)
from lifecycle.records.models import (
    Face,
    MuseumObject,
    Person,
    Picture,
    PicturePurpose,
    Place,
    Vocabulary,
    Word,
)
from lifecycle.records.models.condition import ConditionReport, Observation
from lifecycle.records.models.condition.words import SectionName
from tests.builders.core import AT, make_face, make_person, make_place, make_word

PASSWORD = "long enough 42"


def picture_bytes(
    width: int = 90, height: int = 60, kind: str = "JPEG", colour: str = "ivory", **save: Any
) -> bytes:
    """A plain picture, drawn here."""
    out = BytesIO()
    Image.new("RGB", (width, height), colour).save(out, kind, **save)
    return out.getvalue()


def make_picture(face: Face | None = None, by: Person | None = None, **values: Any) -> Picture:
    return store_picture(
        data=values.pop("data", None) or picture_bytes(),
        name="face.jpg",
        purpose=PicturePurpose.CONDITION,
        face=face,
        by=by or make_person(Role.CONSERVATOR),
        role=Role.CONSERVATOR,
        at=values.pop("at", AT),
        **values,
    )


def term(code: str = "split-at-fold") -> Word:
    return make_word(Vocabulary.CONDITION_TERM, code)


def start_draft(
    museum_object: MuseumObject | None = None,
    *,
    kind: ReportKind = ReportKind.BASELINE,
    by: Person | None = None,
    at: datetime = AT,
    faces: list[Face] | None = None,
    where: Place | None = None,
    **values: Any,
) -> ConditionReport:
    """A draft with who, when and where filled in."""
    if museum_object is None:
        museum_object = faces[0].museum_object if faces else make_face().museum_object
    by = by or make_person(Role.CONSERVATOR)
    return start_report(
        museum_object=museum_object,
        kind=kind,
        faces=faces or list(museum_object.faces.order_by("pk")),
        reason=make_word(Vocabulary.REPORT_REASON, "requested-for-exhibition"),
        occasion=Occasion(
            examined_at=values.pop("examined_at", at - timedelta(hours=1)),
            examiners=[by],
            where=where or make_place(kind=PlaceKind.BENCH),
            seen_as=SeenAs.UNHOUSED,
        ),
        by=by,
        role=values.pop("role", Role.CONSERVATOR),
        at=at,
        **values,
    )


def fill_draft(
    report: ConditionReport,
    *,
    by: Person,
    at: datetime = AT,
    result: CompareResult | str = "",
    nothing_to_note: bool = False,
) -> ConditionReport:
    """Everything a full report needs besides its findings."""
    who: dict[str, Any] = {"by": by, "role": Role.CONSERVATOR, "at": at}
    for row in report.report_faces.select_related("face__museum_object"):
        picture = make_picture(row.face, by, at=at)
        put_face_picture(row=row, picture=picture, nothing_further=True, **who)
    add_light(report=report, light=LightKind.DIFFUSE, **who)
    say_not_seen(
        report=report, what=make_word(Vocabulary.NOT_SEEN, "under-mount"), note="hinged", **who
    )
    save_section(
        report=report,
        name=SectionName.SUPPORT,
        observed="Laid paper, folded once.",
        interpretation="Folded since it was made.",
        revision=0,
        **who,
    )
    report.refresh_from_db()
    if report.compared_with is None:
        say_none_known(report, by=by, at=at)
        report.refresh_from_db()
    save_conclusions(
        report=report,
        conclusions=Conclusions(
            grade=Grade.FAIR,
            stability=Stability.STABLE,
            result=result or (CompareResult.NO_CHANGE_SEEN if report.compared_with_id else ""),
            fit_display=Fit.YES,
            fit_travel=Fit.YES,
            fit_handling=Fit.YES,
            nothing_to_note=nothing_to_note,
        ),
        revision=report.conclusions_revision,
        **who,
    )
    report.refresh_from_db()
    return report


def conclusions_with(report: ConditionReport, **values: Any) -> Conclusions:
    """The conclusions as they stand, some of them changed."""
    kept = {name: getattr(report, name) for name in Conclusions.__dataclass_fields__}
    return Conclusions(**{**kept, **values})


def say_none_known(report: ConditionReport, *, by: Person, at: datetime = AT) -> None:
    save_circumstances(
        report=report,
        circumstances=Circumstances(
            occasion=Occasion(
                examined_at=report.examined_at,
                examiners=list(report.examiners.all()),
                where=report.where,
                seen_as=report.seen_as,
            ),
            reason=report.reason,
            none_known="Nothing on file before 2026.",
        ),
        revision=report.circumstances_revision,
        by=by,
        role=Role.CONSERVATOR,
        at=at,
    )


def make_finding(
    report: ConditionReport, face: Face, *, by: Person, at: datetime = AT, **values: Any
) -> Observation:
    """A first record in zone C2, 14 mm long, unless told otherwise."""
    values.setdefault("term", term())
    values.setdefault("state", FeatureState.FIRST_RECORD)
    values.setdefault("zone", "C2")
    values.setdefault("layer", Layer.SUPPORT)
    values.setdefault("severity", 1)
    values.setdefault("length_mm", Decimal(14))
    values.setdefault(
        "box",
        Box(left=Decimal(40), top=Decimal(70), width=Decimal(10), height=Decimal("5.5")),
    )
    return add_finding(
        report=report, face=face, sight=Sight(**values), by=by, role=Role.CONSERVATOR, at=at
    )


def sign_as_author(report: ConditionReport, *, by: Person, at: datetime = AT) -> ConditionReport:
    hand = with_account(person=by, role=Role.CONSERVATOR, password=PASSWORD)
    sign_report(report=report, hand=hand, at=at)
    report.refresh_from_db()
    return report


def make_signed(
    museum_object: MuseumObject | None = None,
    *,
    kind: ReportKind = ReportKind.BASELINE,
    by: Person | None = None,
    at: datetime = AT,
    findings: int = 1,
    **values: Any,
) -> ConditionReport:
    """A signed report with new findings on its first face."""
    by = by or make_person(Role.CONSERVATOR)
    report = start_draft(museum_object, kind=kind, by=by, at=at, **values)
    face = report.report_faces.select_related("face").order_by("pk")[0].face
    result = CompareResult.CHANGE_SEEN if report.compared_with_id and findings else ""
    fill_draft(report, by=by, at=at, result=result, nothing_to_note=not findings)
    for _ in range(findings):
        make_finding(report, face, by=by, at=at)
    return sign_as_author(report, by=by, at=at)
