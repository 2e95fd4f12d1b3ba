"""Block O and what goes with it: the house, its clock, places, pictures, earlier reports."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from lifecycle.papers.words.parts import BlockO, FaceWords, PictureWords, ReportWords
from lifecycle.process.cautions import CautionFor, cautions_for
from lifecycle.process.words import (
    FaceKind,
    Hazard,
    HazardEvidence,
    Orientation,
    PlaceKind,
    ReportKind,
)
from lifecycle.queries.clock import zone_named
from lifecycle.queries.signed_text.lines import day_in_words
from lifecycle.records.models import (
    ConditionReport,
    Face,
    Museum,
    MuseumObject,
    Person,
    Picture,
    Place,
    Showing,
)

#: What a selected object needs beside it to fill block O without further queries.
WITH_OBJECT = ("object_type", "lender")
_NO_EVIDENCE = HazardEvidence.NONE_FOUND.value


@dataclass(frozen=True, slots=True)
class House:
    """The museum as it stands on a paper: its name and the zone of its clock."""

    name: str
    zone: ZoneInfo

    def moment(self, at: datetime | None) -> str:
        """A moment on the museum's clock, or nothing."""
        if at is None:
            return ""
        local = at.astimezone(self.zone)
        return f"{day_in_words(local.date())} {local:%H:%M}"


def house() -> House:
    """The museum of this installation; one query."""
    museum = Museum.objects.first()
    if museum is None:
        return House("Museum without a name", zone_named("UTC"))
    return House(museum.name, zone_named(museum.zone))


def day(value: date | None) -> str:
    """A day with its weekday: Mon 8 June 2026."""
    return f"{value:%a} {day_in_words(value)}" if value is not None else ""


def figure(value: Decimal | int | None, unit: str = "") -> str:
    """A number with thousands and without empty decimals, and its unit."""
    if value is None:
        return ""
    text = f"{value:,f}" if isinstance(value, Decimal) else f"{value:,}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return f"{text} {unit}".strip()


def place_path(place: Place | None, *, within_building: bool = False) -> str:
    """A place with what it lies in, the largest first; for slip and label with its store bay.

    The site is left out where a smaller place is named; `within_building` leaves out the building.
    """
    outside = {PlaceKind.SITE} | ({PlaceKind.BUILDING} if within_building else set())
    names: list[str] = []
    seen: set[int] = set()
    while place is not None and place.pk not in seen:
        seen.add(place.pk)
        if not names or place.kind not in outside:
            names.append(place.name)
        place = place.parent
    return ", ".join(reversed(names))


def picture_words(picture: Picture | None) -> PictureWords | None:
    if picture is None:
        return None
    return PictureWords(sha256=picture.sha256, width=picture.width, height=picture.height)


def face_words(face: Face, picture: Picture | None = None) -> FaceWords:
    """A face with its picture: the one it was examined on, else its thumbnail."""
    return FaceWords(
        label=face.label,
        kind=FaceKind(face.kind).label,
        landmark=face.landmark,
        picture=picture_words(picture or face.thumbnail),
    )


def hazards_of(museum_object: MuseumObject) -> list[Hazard]:
    """The hazards that still stand on an object, in the order of the list.

    A hazard that was tested for and not found is none; without any row nobody has assessed it.
    """
    standing = {
        Hazard(row.hazard)
        for row in museum_object.hazards.all()
        if row.ended_on is None
        and (row.hazard == Hazard.NONE_KNOWN or row.evidence != _NO_EVIDENCE)
    }
    real = standing - {Hazard.NONE_KNOWN}
    if not standing:
        return [Hazard.NOT_ASSESSED]
    return [hazard for hazard in Hazard if hazard in (real or standing)]


def hazard_line(museum_object: MuseumObject, hazards: Sequence[Hazard]) -> str:
    """The hazards in words with their evidence and the protection the record names."""
    if list(hazards) == [Hazard.NONE_KNOWN]:
        return "Hazards: none known"
    if list(hazards) == [Hazard.NOT_ASSESSED]:
        return "Hazards: not assessed, treat as hazardous until somebody has"
    rows = {row.hazard: row for row in museum_object.hazards.all() if row.ended_on is None}
    parts = []
    for hazard in hazards:
        row = rows.get(hazard.value)
        details = [] if row is None else [HazardEvidence(row.evidence).label, row.protection]
        words = "; ".join(part for part in details if part)
        parts.append(f"{hazard.label} ({words})" if words else hazard.label)
    return f"{'Hazard' if len(parts) == 1 else 'Hazards'}: {'; '.join(parts)}"


def caution_lines(
    hazards: Sequence[Hazard], activity: CautionFor, *, only: Collection[str] = ()
) -> tuple[str, ...]:
    """Cautions as sentences: those of the object's hazards first, then those of the work.

    `only` names the cautions of the work that a short sheet has room for; hazards always stay.
    """
    return tuple(
        one.text if one.hazard is not None or one.about == "Always" else f"{one.about}: {one.text}"
        for one in cautions_for(hazards, activity)
        if one.hazard is not None or not only or one.about in only
    )


def exhibition_number(showing: Showing | None) -> str:
    """The number under which the object hangs: code of the exhibition and number in it."""
    if showing is None or not showing.exhibition_number:
        return ""
    return f"{showing.exhibition.short} {showing.exhibition_number}"


def exhibition_words(showing: Showing | None) -> str:
    if showing is None:
        return ""
    return f"{showing.exhibition.short}, {showing.exhibition.title}"


def block_o(
    museum_object: MuseumObject,
    *,
    of_house: House,
    activity: CautionFor,
    showing: Showing | None = None,
    face: FaceWords | None = None,
    only: Collection[str] = (),
    beside: Sequence[str] = (),
) -> BlockO:
    """Block O. `hazards` should be prefetched and `WITH_OBJECT` selected; `only` as above.

    `beside` are further cautions of this object, such as what its ink asks for; they go first.
    """
    hazards = hazards_of(museum_object)
    orientation = Orientation(museum_object.orientation_rule)
    told = [] if orientation is Orientation.ANY else [orientation.label]
    if museum_object.handling_cautions:
        told.append(museum_object.handling_cautions)
    return BlockO(
        object_number=museum_object.object_number,
        exhibition_number=exhibition_number(showing),
        title=museum_object.title,
        maker=museum_object.maker,
        date_text=museum_object.date_text,
        object_type=museum_object.object_type.label,
        owner=museum_object.lender.name if museum_object.lender else of_house.name,
        face=face,
        orientation=orientation.value,
        orientation_words=orientation.label,
        hazards=tuple(hazard.value for hazard in hazards),
        hazard_line=hazard_line(museum_object, hazards),
        handling_line=f"Handling: {'. '.join(told) or 'no special caution on record'}",
        cautions=(*beside, *caution_lines(hazards, activity, only=only)),
    )


def report_words(report: ConditionReport | None, of_house: House) -> ReportWords | None:
    """An earlier report as it is named on a paper; `examiners` should be prefetched."""
    if report is None:
        return None
    names = sorted(person.full_name for person in report.examiners.all())
    return ReportWords(
        number=f"{report.report_no} version {report.version}",
        kind=ReportKind(report.kind).label,
        when=of_house.moment(report.examined_at) or "time not known",
        who=", ".join(names) or report.entered_by.full_name,
    )


def person_name(person: Person | None) -> str:
    return person.full_name if person is not None else ""
