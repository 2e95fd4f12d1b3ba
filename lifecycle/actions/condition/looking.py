"""How the object was looked at: lights used, what was not seen, the picture of each face."""

from datetime import datetime
from decimal import Decimal

from django.db import transaction
from django.db.models import Max

from lifecycle.actions.condition.draft import open_draft
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.stages import Role
from lifecycle.process.words import LightKind
from lifecycle.records.models.condition import ConditionReport, LightUsed, NotSeen, ReportFace
from lifecycle.records.models.objects import Face
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Picture
from lifecycle.records.models.words import Vocabulary, Word


@transaction.atomic
def add_light(
    *,
    report: ConditionReport,
    light: LightKind,
    by: Person,
    role: Role,
    at: datetime,
    direction_clock: int | None = None,
    instrument: str = "",
    magnification: Decimal | None = None,
    minutes: Decimal | None = None,
    lux: int | None = None,
    picture: Picture | None = None,
    note: str = "",
) -> LightUsed:
    """Note one light; raking needs its side, UV its minutes, because UV is exposure.

    :raises Refused: raking without direction, UV without minutes, values out of range
    """
    kept = open_draft(report, by=by, role=role, at=at)
    reasons = []
    if light == LightKind.RAKING and direction_clock is None:
        text = "Say from which side the raking light came, as a clock seen from the front."
        reasons.append(Reason(text, "direction_clock", "condition.light"))
    if direction_clock is not None and not 1 <= direction_clock <= 12:
        reasons.append(Reason("A direction runs from 1 to 12 o'clock.", "direction_clock"))
    if light == LightKind.UV_FLUORESCENCE and minutes is None:
        text = "Note the minutes under the UV lamp: they are exposure and are added up."
        reasons.append(Reason(text, "minutes", "condition.light"))
    if light == LightKind.MAGNIFIED and magnification is None:
        reasons.append(Reason("Say how many times it was magnified.", "magnification"))
    if minutes is not None and minutes <= 0:
        reasons.append(Reason("Minutes must be more than 0.", "minutes"))
    if magnification is not None and magnification < 1:
        reasons.append(Reason("Magnification starts at 1.", "magnification"))
    if reasons:
        raise Refused(reasons)
    last = kept.lights_used.aggregate(last=Max("number"))["last"] or 0
    used = LightUsed(
        report=kept,
        number=last + 1,
        light=light,
        direction_clock=direction_clock,
        instrument=instrument.strip(),
        magnification=magnification,
        minutes=minutes,
        lux=lux,
        picture=picture,
        note=note.strip(),
    )
    return used.keep(by=by, role=role, why=f"{light.label} light used", at=at)


@transaction.atomic
def take_back_light(*, light: LightUsed, by: Person, role: Role, at: datetime) -> LightUsed:
    """Take a light out of the draft; refused while a finding says it was seen in it."""
    open_draft(light.report, by=by, role=role, at=at)
    kept = LightUsed.objects.select_for_update(of=("self",)).get(pk=light.pk)
    seen = kept.observations.filter(taken_back=False).select_related("feature")
    numbers = [f"F{row.feature.number}" for row in seen.order_by("feature__number")]
    if numbers:
        text = f"{', '.join(numbers)} was seen in this light: change that first."
        raise Refused(Reason(text, code="condition.light"))
    kept.taken_back = True
    return kept.keep(by=by, role=role, why="light not used after all", at=at)


@transaction.atomic
def say_not_seen(
    *, report: ConditionReport, what: Word, note: str, by: Person, role: Role, at: datetime
) -> NotSeen:
    """Say what could not be seen; saying it again changes the note.

    :raises Refused: a word of another list, or 'everything could be seen' is ticked
    """
    kept = open_draft(report, by=by, role=role, at=at)
    if what.vocabulary != Vocabulary.NOT_SEEN:
        text = f"“{what}” is not in the list of what was not seen; choose one of the list."
        raise Refused(Reason(text, "what", "condition.not_seen"))
    if kept.everything_seen:
        text = "“Everything could be seen” is ticked: take the tick out first."
        raise Refused(Reason(text, "what", "condition.not_seen"))
    row = NotSeen.objects.filter(report=kept, what=what).first() or NotSeen(report=kept, what=what)
    row.note, row.taken_back = note.strip(), False
    return row.keep(by=by, role=role, why=f"not seen: {what}", at=at)


@transaction.atomic
def take_back_not_seen(*, row: NotSeen, by: Person, role: Role, at: datetime) -> NotSeen:
    """It was seen after all."""
    open_draft(row.report, by=by, role=role, at=at)
    kept = NotSeen.objects.get(pk=row.pk)
    kept.taken_back = True
    return kept.keep(by=by, role=role, why="seen after all", at=at)


@transaction.atomic
def put_face_picture(
    *,
    row: ReportFace,
    picture: Picture | None,
    nothing_further: bool,
    by: Person,
    role: Role,
    at: datetime,
) -> ReportFace:
    """Lay the picture under the findings of a face, and say whether nothing further was seen.

    A face without a picture is known by this one from now on, if it was taken in diffuse light: at
    the install, at a turn and on the label of its housing.

    :raises Refused: a picture of another face
    """
    open_draft(row.report, by=by, role=role, at=at)
    kept = ReportFace.objects.select_related("face").get(pk=row.pk)
    if picture is not None and picture.face_id not in {None, kept.face_id}:
        text = f"This picture shows another face than “{kept.face}”; choose one of this face."
        raise Refused(Reason(text, "picture", "condition.picture"))
    kept.picture, kept.nothing_further = picture, nothing_further
    if picture is not None and picture.light == LightKind.DIFFUSE:
        _known_by(kept.face_id, picture, by, role, at)
    return kept.keep(by=by, role=role, why=f"picture of {kept.face}", at=at)


def _known_by(face_id: int, picture: Picture, by: Person, role: Role, at: datetime) -> None:
    face = Face.objects.select_for_update().get(pk=face_id)
    if face.thumbnail_id is None:
        face.thumbnail = picture
        face.keep(by=by, role=role, why="First picture of this face in diffuse light.", at=at)
