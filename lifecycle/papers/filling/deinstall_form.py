"""From a showing: all that is known before the taking down, to tick in two places."""

from collections.abc import Iterator
from datetime import datetime

from lifecycle.papers.filling.block_o import (
    WITH_OBJECT,
    House,
    block_o,
    exhibition_words,
    face_words,
    house,
    place_path,
    report_words,
)
from lifecycle.papers.filling.features import blank_from, face_page, last_looks
from lifecycle.papers.filling.light import light_now
from lifecycle.papers.words.deinstall_form import DeinstallFormWords
from lifecycle.papers.words.parts import DatedLine, FacePage, SignatureWords
from lifecycle.process.cautions import CautionFor
from lifecycle.process.words import LightKind, ReportKind
from lifecycle.queries.condition.events import happenings
from lifecycle.queries.condition.ink import ink_sentences
from lifecycle.queries.condition.known import (
    known_features,
    last_signed,
    next_feature_number,
    signed_reports,
)
from lifecycle.queries.condition.sheet import last_pictures
from lifecycle.queries.display.companions import named_companions
from lifecycle.records.models import (
    DisplayPeriod,
    Face,
    FaceWanted,
    MuseumObject,
    Showing,
    Vocabulary,
    Word,
)
from lifecycle.records.models.condition.words import NextStep


def deinstall_form_words(showing: Showing, at: datetime) -> DeinstallFormWords:
    """The words of the paper; a fixed number of queries, however many features and faces."""
    of_house = house()
    showing = (
        Showing.objects.select_related(
            "exhibition",
            "place__parent__parent__parent__parent",
            *(f"museum_object__{name}" for name in WITH_OBJECT),
        )
        .prefetch_related("museum_object__hazards")
        .get(pk=showing.pk)
    )
    museum_object = showing.museum_object
    periods = _periods(showing)
    shown = periods[-1].face if periods else None
    place = periods[-1].place if periods else showing.place
    since = periods[0].opened_at if periods else None
    faces = _faces(showing, museum_object, shown, of_house)
    earlier = last_signed(museum_object, face=shown) if shown else last_signed(museum_object)
    in_display = (
        signed_reports(museum_object)
        .filter(kind__in=[ReportKind.IN_DISPLAY, ReportKind.AT_INSTALL, ReportKind.ON_COMING_FACE])
        .filter(showing=showing)
        .first()
    )
    light = light_now(showing, shown, place, at=at, of_house=of_house)
    return DeinstallFormWords(
        institution=of_house.name,
        about=block_o(
            museum_object,
            of_house=of_house,
            activity=CautionFor.DEINSTALL_PAPER,
            showing=showing,
            face=face_words(shown) if shown else None,
            beside=ink_sentences([museum_object]),
        ),
        showing_no=showing.request_no,
        exhibition=exhibition_words(showing),
        place=place_path(place, within_building=True),
        on_display_since=of_house.moment(since) or "not yet on display",
        baseline=report_words(earlier, of_house),
        last_in_display=report_words(in_display, of_house),
        light=light.words,
        events=tuple(_events(museum_object, since, at, of_house)),
        due=light.due,
        companions=tuple(
            f"{number} ({reason})" for number, reason in named_companions(museum_object.pk)
        ),
        lights=tuple(one.label for one in LightKind if one is not LightKind.OTHER),
        not_seen=tuple(
            Word.objects.filter(vocabulary=Vocabulary.NOT_SEEN, retired_on=None)
            .order_by("label", "pk")
            .values_list("label", flat=True)
        ),
        next_steps=tuple(str(label) for label in NextStep.labels),
        shown_face=shown.label if shown else "",
        faces=faces,
        lender=museum_object.lender.name if museum_object.lender else "",
        signatures_a=(
            SignatureWords(capacity="Taken down by, conservator"),
            SignatureWords(capacity="Second hand, technician"),
        ),
        signatures_b=tuple(_signatures_b(museum_object)),
    )


def _periods(showing: Showing) -> list[DisplayPeriod]:
    return list(
        DisplayPeriod.objects.filter(showing=showing, struck_at=None)
        .select_related("face__thumbnail", "place__parent__parent__parent__parent")
        .order_by("opened_at", "pk")
    )


def _faces(
    showing: Showing, museum_object: MuseumObject, shown: Face | None, of_house: House
) -> tuple[FacePage, ...]:
    """The face on show first, then the others of the plan, then any other with known features."""
    known = known_features(museum_object)
    wanted = (
        FaceWanted.objects.filter(showing=showing, struck=False)
        .select_related("face__thumbnail")
        .order_by("order", "pk")
    )
    order: dict[int, Face] = {shown.pk: shown} if shown else {}
    for row in wanted:
        order.setdefault(row.face_id, row.face)
    others = {row.feature.face_id for row in known} - set(order)
    for face in (
        Face.objects.filter(pk__in=others).select_related("thumbnail").order_by("order", "pk")
    ):
        order.setdefault(face.pk, face)
    looks = last_looks(museum_object)
    following = next_feature_number(museum_object)
    # The picture the findings were marked on, or they would be drawn beside their places.
    pictures = last_pictures(list(order.values()))
    return tuple(
        face_page(
            face,
            known,
            next_number=blank_from(following, number),
            of_house=of_house,
            picture=pictures.get(face.pk),
            looks=looks,
        )
        for number, face in enumerate(order.values())
    )


def _events(
    museum_object: MuseumObject, since: datetime | None, at: datetime, of_house: House
) -> Iterator[DatedLine]:
    if since is None:
        return
    for one in happenings(museum_object, since=since, until=at):
        yield DatedLine(when=of_house.moment(one.at), what=one.what)


def _signatures_b(museum_object: MuseumObject) -> Iterator[SignatureWords]:
    yield SignatureWords(capacity="Compared by, conservator")
    if museum_object.lender is not None:
        yield SignatureWords(capacity="Courier or lender")
    yield SignatureWords(capacity="Received by, registrar")
