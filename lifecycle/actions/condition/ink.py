"""Rate iron-gall ink area by area, keep a spot test, sign off how a poor one is moved."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Final

from django.db import transaction
from django.db.models import Max

from lifecycle.actions.allowing import allow
from lifecycle.actions.condition.draft import open_draft
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.ink import InkLevel, InkMethod, SpotTest
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.condition.ink import rated_face
from lifecycle.queries.rights import about_object, museum_day
from lifecycle.records.models.condition import (
    ConditionReport,
    InkRating,
    InkSignOff,
    InkTest,
    ReportFace,
)
from lifecycle.records.models.objects import Face
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Picture

#: No strip of wet paper on ink from this level on: it is cracked.
CRACKED: Final = InkLevel.POOR


@dataclass(frozen=True, slots=True, kw_only=True)
class Rated:
    """One inked area as it was judged."""

    face: Face
    area: str
    level: InkLevel
    method: InkMethod
    zone: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StripLaid:
    """One spot test: times in seconds, colour of the strip from 0 none to 4 intense."""

    face: Face
    test: SpotTest
    spot: str
    strip_lot: str
    wetted_with: str
    contact_seconds: int
    read_after_seconds: int
    colour: int
    consent: str
    area: InkRating | None = None
    picture: Picture | None = None
    note: str = ""


@transaction.atomic
def rate_ink(
    *, report: ConditionReport, rated: Rated, by: Person, role: Role, at: datetime
) -> InkRating:
    """Rate one inked area in a draft.

    :raises Refused: a face the report does not cover, no word on which area, cracks that nobody
        could have seen under UV alone
    """
    kept = open_draft(report, by=by, role=role, at=at)
    reasons = _about_face(kept, rated.face)
    if not rated.area.strip():
        text = "Say which inked area: lines, a heading, a drawing."
        reasons.append(Reason(text, "area", "ink.area"))
    if rated.level >= CRACKED and rated.method is InkMethod.UV:
        text = "Cracks and losses are not seen under UV: look in raking or transmitted light."
        reasons.append(Reason(text, "method", "ink.method"))
    if reasons:
        raise Refused(reasons)
    last = kept.ink_ratings.aggregate(last=Max("number"))["last"] or 0
    return InkRating(
        report=kept,
        face=rated.face,
        number=last + 1,
        area=rated.area.strip(),
        zone=rated.zone,
        level=rated.level,
        method=rated.method,
        note=rated.note.strip(),
        written_by=by,
        written_at=at,
    ).keep(by=by, role=role, why="inked area rated", at=at)


@transaction.atomic
def take_back_rating(*, rating: InkRating, by: Person, role: Role, at: datetime) -> InkRating:
    """Take a rating out of the draft; refused while a spot test names its area."""
    open_draft(rating.report, by=by, role=role, at=at)
    kept = InkRating.objects.select_for_update(of=("self",)).get(pk=rating.pk)
    if kept.tests.filter(taken_back=False).exists():
        text = "A spot test names this area: take the test back first."
        raise Refused(Reason(text, code="ink.area"))
    kept.taken_back = True
    return kept.keep(by=by, role=role, why="rating taken back", at=at)


@transaction.atomic
def keep_ink_test(
    *, report: ConditionReport, tested: StripLaid, by: Person, role: Role, at: datetime
) -> InkTest:
    """Keep a spot test in a draft.

    :raises Refused: an area rated cracked or broken, no consent, no spot, no times
    """
    kept = open_draft(report, by=by, role=role, at=at)
    reasons = _about_face(kept, tested.face)
    area = tested.area
    if area is not None and (area.report_id != kept.pk or area.face_id != tested.face.pk):
        text = "This inked area is not rated on that face in this report."
        reasons.append(Reason(text, "area", "ink.area"))
    elif area is not None and area.level >= CRACKED:
        text = (
            f"{area.area} is rated {InkLevel(area.level).label}: no wet test on cracked or broken "
            "ink. Choose a spot on sound ink."
        )
        reasons.append(Reason(text, "area", "ink.cracked"))
    needed = (
        ("spot", tested.spot, "Say where the strip was laid: line, word, stroke."),
        ("strip_lot", tested.strip_lot, "Write the lot of the strips."),
        ("wetted_with", tested.wetted_with, "Say with what the strip was wetted, and how much."),
        ("consent", tested.consent, "A test needs consent: its number, or who agreed and when."),
    )
    reasons += [Reason(text, name, "ink.test") for name, value, text in needed if not value.strip()]
    if tested.contact_seconds < 1:
        reasons.append(Reason("Seconds of contact are at least 1.", "contact_seconds", "ink.test"))
    if not 0 <= tested.colour <= 4:
        reasons.append(Reason("The colour runs from 0 to 4.", "colour", "ink.test"))
    if reasons:
        raise Refused(reasons)
    last = kept.ink_tests.aggregate(last=Max("number"))["last"] or 0
    values: dict[str, Any] = {
        name: getattr(tested, name) for name in StripLaid.__dataclass_fields__
    }
    return InkTest(report=kept, number=last + 1, written_by=by, written_at=at, **values).keep(
        by=by, role=role, why=f"spot test: {tested.test.label}", at=at
    )


@transaction.atomic
def take_back_ink_test(*, test: InkTest, by: Person, role: Role, at: datetime) -> InkTest:
    """Take a spot test out of the draft."""
    open_draft(test.report, by=by, role=role, at=at)
    kept = InkTest.objects.select_for_update(of=("self",)).get(pk=test.pk)
    kept.taken_back = True
    return kept.keep(by=by, role=role, why="spot test taken back", at=at)


@transaction.atomic
def sign_off_ink(
    *, face: Face, how: str, until: date, by: Person, role: Role, at: datetime
) -> InkSignOff:
    """Say by name how a face with poor ink is moved; the word holds for its last signed rating.

    :raises NotAllowed: anybody but a conservator
    :raises Refused: a face that no signed report rates, no word on how, a day in the past
    """
    face = (
        Face.objects.select_for_update(of=("self",)).select_related("museum_object").get(pk=face.pk)
    )
    museum_object = face.museum_object
    allow(by=by, role=role, deed=Deed.EXAMINE, at=at, about=about_object(museum_object))
    today = museum_day(at)
    rated = rated_face(face, today)
    reasons = []
    if rated is None:
        text = f"No signed report rates the ink of {museum_object}, {face.label}."
        reasons.append(Reason(text, code="ink.unrated"))
    if not how.strip():
        text = "Say how it is moved: on what, by how many, which way up."
        reasons.append(Reason(text, "how", "ink.how"))
    if until < today:
        reasons.append(Reason("This day is past.", "until", "ink.until"))
    if reasons or rated is None:
        raise Refused(reasons)
    return InkSignOff(
        face=face,
        report=rated.worst.report,
        level=rated.level,
        how=how.strip(),
        until=until,
        by=by,
        role=role,
        at=at,
    ).append()


def _about_face(report: ConditionReport, face: Face) -> list[Reason]:
    if ReportFace.objects.filter(report=report, face=face, dropped=False).exists():
        return []
    text = f"{report} does not cover the face “{face}”; choose one of its faces."
    return [Reason(text, "face", "condition.face")]
