"""Rows to the words of tags and labels: object, housing, mount, facsimile."""

from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal

from django.db.models import QuerySet

from lifecycle.papers.filling.block_o import (
    WITH_OBJECT,
    House,
    block_o,
    day,
    face_words,
    figure,
    house,
    picture_words,
)
from lifecycle.papers.words.cards import (
    FacsimileLabelWords,
    HousingLabelWords,
    MountLabelWords,
    ObjectTagWords,
)
from lifecycle.papers.words.parts import BlockO, FaceWords, PictureWords
from lifecycle.planning.counting import counted
from lifecycle.process.cautions import CautionFor
from lifecycle.process.words import FaceKind, Orientation
from lifecycle.queries.light import resting_of
from lifecycle.queries.rights import museum_day
from lifecycle.queries.signed_text.lines import day_in_words
from lifecycle.records.models import Face, MuseumObject, Picture, Showing
from lifecycle.records.models.preparation import (
    AfterShow,
    Board,
    Facsimile,
    FacsimileUse,
    Housing,
    Mount,
)

STILL_SHOWN = "not known while it is on display"
NOTHING_RESTS = "no face has to rest"
GRAMS_IN_A_KILOGRAM = 1000


def object_tag_words(showing: Showing) -> ObjectTagWords:
    """The words of the paper; a fixed number of queries."""
    of_house = house()
    return ObjectTagWords(
        institution=of_house.name,
        about=_about(showing.museum_object_id, of_house, showing),
    )


def housing_label_words(housing: Housing, at: datetime) -> HousingLabelWords:
    """The words of the label outside a housing, as they stand at `at`.

    :raises ValueError: when the housing was put out of use
    """
    if housing.retired_at is not None:
        raise ValueError(f"{housing.housing_no} is out of use: a label would mislead.")
    of_house = house()
    row = Housing.objects.select_related(
        "kind", "component", "contents_picture", "showing__exhibition"
    ).get(pk=housing.pk)
    thing = _objects().get(pk=row.museum_object_id)
    about = block_o(
        thing,
        of_house=of_house,
        activity=CautionFor.MOVEMENT_PAPER,
        showing=row.showing,
        only=("Always",),
    )
    orientation = Orientation(row.orientation)
    return HousingLabelWords(
        institution=of_house.name,
        housing_no=row.housing_no,
        edition=row.edition,
        about=about,
        picture=_contents_picture(row, thing),
        contents=_contents(row, thing),
        kind=row.kind.label,
        board=Board(row.board).label + (", air can reach it" if row.air_access else ""),
        orientation=orientation.value,
        orientation_words=orientation.label,
        lift=row.lift_aid,
        weight=_weight(thing.weight_g if row.component is None else None),
        sensitivity=thing.sensitivity_class.label if thing.sensitivity_class else "not classed",
        resting=_resting(thing, at),
        made=_made(row),
    )


def mount_label_words(mount: Mount) -> MountLabelWords:
    """The words of the small label of a tray or mount. ValueError when it was put aside."""
    if mount.retired_at is not None:
        raise ValueError(f"{mount.mount_no} was put aside: a label would mislead.")
    of_house = house()
    faces = mount.faces.filter(dropped=False).order_by("face__order", "face__pk")
    return MountLabelWords(
        institution=of_house.name,
        mount_no=mount.mount_no,
        about=_about(mount.museum_object_id, of_house, mount.showing),
        faces=", ".join(faces.values_list("face__label", flat=True)),
    )


def facsimile_label_words(facsimile: Facsimile, at: datetime) -> FacsimileLabelWords:
    """The words of the three labels of a facsimile, as they stand at `at`."""
    of_house = house()
    row = Facsimile.objects.select_related(
        "of_face__thumbnail", "showing__exhibition", "with_whom", "delivered_by"
    ).get(pk=facsimile.pk)
    about = _about(
        row.of_face.museum_object_id, of_house, row.showing, face=face_words(row.of_face)
    )
    by = row.with_whom or row.delivered_by
    finished = row.delivered_at or row.approved_at or row.asked_at
    made = f"{museum_day(finished):%B %Y}"
    return FacsimileLabelWords(
        institution=of_house.name,
        facsimile_no=row.facsimile_no,
        about=about,
        made=f"{made}, {by.full_name}" if by else made,
        back_mark=row.mark_on_back,
        public_line=row.public_label,
        rests=_where_the_original_is(row, at),
        size=f"{figure(row.scale_percent)} % of the original",
        method=", ".join(p for p in (row.print_method, row.paper, row.trim) if p) or "not said yet",
        handled="yes" if row.use == FacsimileUse.HANDLED else "no",
        after_show=AfterShow(row.after_show).label,
    )


def _objects() -> "QuerySet[MuseumObject]":
    return MuseumObject.objects.select_related(*WITH_OBJECT, "sensitivity_class").prefetch_related(
        "hazards", "components"
    )


def _about(
    object_id: int, of_house: House, showing: Showing | None, face: FaceWords | None = None
) -> BlockO:
    return block_o(
        _objects().get(pk=object_id),
        of_house=of_house,
        activity=CautionFor.MOVEMENT_PAPER,
        showing=showing,
        face=face,
        only=("Always",),
    )


def _contents_picture(row: Housing, thing: MuseumObject) -> PictureWords | None:
    """The picture of what lies in it; without one the first face of the object."""
    if row.contents_picture is not None:
        return picture_words(row.contents_picture)
    first: Picture | None = None
    faces = Face.objects.filter(museum_object=thing, thumbnail__isnull=False)
    for face in faces.select_related("thumbnail").order_by("order", "pk")[:1]:
        first = face.thumbnail
    return picture_words(first)


def _contents(row: Housing, thing: MuseumObject) -> str:
    """What lies in it, counted, so that whoever opens it can count again."""
    parts = sorted(component.label for component in thing.components.all())
    if row.component is not None:
        return f"1 of {counted(len(parts), 'part')}: {row.component.label}"
    whole = f"1 {thing.object_type.label}"
    return f"{whole} + {counted(len(parts), 'part')}: {', '.join(parts)}" if parts else whole


def _weight(grams: int | None) -> str:
    if grams is None:
        return ""
    if grams < GRAMS_IN_A_KILOGRAM:
        return f"{grams} g"
    return figure(round(Decimal(grams) / GRAMS_IN_A_KILOGRAM, 1), "kg")


def _made(row: Housing) -> str:
    if row.made_on is None:
        return "not made yet"
    return f"{day(row.made_on)}, {row.made_by}"


def _resting(thing: MuseumObject, at: datetime) -> tuple[str, ...]:
    """One line for each face that rests; what hangs rests only once it has come down."""
    if thing.display_periods.filter(closed_at=None, struck_at=None).exists():
        return (STILL_SHOWN,)
    until = _rest_by_face(thing.faces.order_by("order", "pk"), at)
    if not until:
        return (NOTHING_RESTS,)
    if len(until) == thing.faces.count() and len(set(until.values())) == 1:
        return (f"until {day(next(iter(until.values())))}",)
    return tuple(f"{label} until {day(last)}" for label, last in until.items())


def _rest_by_face(faces: "QuerySet[Face] | Sequence[Face]", at: datetime) -> dict[str, date]:
    """Until when each face that still rests does so, by its label."""
    rows = list(faces)
    today, answers = museum_day(at), resting_of(rows, at)
    return {
        face.label: free
        for face in rows
        if (free := answers[face.pk].free_from) is not None and free > today
    }


def _where_the_original_is(row: Facsimile, at: datetime) -> str:
    """Where the visitor finds the original, or until when it rests."""
    face = row.of_face
    if row.use == FacsimileUse.SHOWS_OTHER_FACE:
        if face.kind in (FaceKind.RECTO, FaceKind.VERSO, FaceKind.SIDE):
            return "The original lies beside it, turned to its other side."
        return "The original lies beside it, open at another place."
    until = _rest_by_face([face], at).get(face.label)
    if until is None:
        return "The original is in store."
    # For visitors: which day of the week it will be is nothing to them.
    return f"The original rests until {day_in_words(until)}."
