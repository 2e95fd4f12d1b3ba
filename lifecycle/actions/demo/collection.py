"""The demo's objects with faces, pictures, sizes, hazards and companions; its exhibitions."""

from collections.abc import Mapping
from typing import Any

from lifecycle.actions.demo.cast import Cast
from lifecycle.actions.pictures import store_picture
from lifecycle.exchange.demo_pictures import drawn
from lifecycle.process.stages import Role
from lifecycle.process.words import LightKind, OwnerKind
from lifecycle.records.models import (
    Companionship,
    Component,
    Exhibition,
    Face,
    GuestPass,
    Measure,
    MuseumObject,
    ObjectHazard,
    PicturePurpose,
    Vocabulary,
    Word,
)


def set_up_collection(cast: Cast) -> None:
    """Write every object, then what points from one object to another."""
    words = {(word.vocabulary, word.code): word for word in Word.objects.all()}
    made = {row["number"]: _object(cast, row, words) for row in cast.data.objects}
    for row in cast.data.objects:
        for companion in row.get("companions", ()):
            Companionship(
                museum_object=made[row["number"]],
                companion=made[companion["number"]],
                reason=companion["reason"],
            ).keep(**cast.kept())
    for row in cast.data.people["people"]:
        if "pass" in row:
            _pass(cast, row, made)


def _object(
    cast: Cast, row: Mapping[str, Any], words: Mapping[tuple[str, str], Word]
) -> MuseumObject:
    lender = cast.organisations.get(row.get("lender", ""))
    home = cast.places[row["home"]]
    made = MuseumObject(
        object_number=row["number"],
        title=row["title"],
        object_type=words[Vocabulary.OBJECT_TYPE, row["type"]],
        maker=row["maker"],
        date_text=row["date"],
        owner_kind=OwnerKind.LENDER if lender else OwnerKind.MUSEUM,
        lender=lender,
        handling_cautions=row.get("cautions", ""),
        orientation_rule=row.get("orientation", "any"),
        sensitivity_class=cast.classes[row["class"]],
        class_basis=row["basis"],
        light_passes_through=row.get("light_passes_through", False),
        moisture_caution=row.get("moisture_caution", False),
        source_community=row.get("source_community", ""),
        weight_g=row.get("weight_g"),
        normal_location=home,
        current_location=home,
    ).keep(**cast.kept())
    made.put_lists(
        materials=[words[Vocabulary.MATERIAL, code] for code in row.get("materials", ())],
        techniques=[words[Vocabulary.TECHNIQUE, code] for code in row.get("techniques", ())],
    )
    made.keep(**cast.kept())
    for size in row.get("measures", ()):
        height, width, depth = size["size"]
        Measure(
            museum_object=made,
            state=size["state"],
            height_mm=height,
            width_mm=width,
            depth_mm=depth,
        ).keep(**cast.kept())
    for part in row.get("components", ()):
        Component(museum_object=made, **part).keep(**cast.kept())
    for hazard in row.get("hazards", [{"hazard": "none_known", "evidence": "none_found"}]):
        ObjectHazard(
            museum_object=made,
            hazard=hazard["hazard"],
            evidence=hazard["evidence"],
            protection=hazard.get("protection", ""),
            who_may_handle=hazard.get("who", ""),
            found_on=cast.at.date(),
        ).keep(**cast.kept())
    for order, face in enumerate(row["faces"], start=1):
        _face(cast, made, face, order)
    return made


def _face(cast: Cast, made: MuseumObject, row: Mapping[str, Any], order: int) -> None:
    face = Face(
        museum_object=made,
        kind=row["kind"],
        label=row["label"],
        landmark=row["landmark"],
        max_opening_angle=row.get("angle"),
        never_show="never_show" in row,
        never_show_reason=row.get("never_show", ""),
        order=order,
    ).keep(**cast.kept())
    face.thumbnail = store_picture(
        data=drawn(row["draw"], row.get("drawn_number")),
        name=f"{made.object_number} {face.label}.jpg",
        face=face,
        purpose=PicturePurpose.FACE,
        light=LightKind.DIFFUSE,
        taken_at=cast.at,
        by=cast.people["ada"],
        role=Role.PHOTOGRAPHER,
        at=cast.at,
    )
    face.keep(**cast.kept())
    cast.drawings[face.pk] = (row["draw"], row.get("drawn_number"))


def _pass(cast: Cast, row: Mapping[str, Any], made: Mapping[str, MuseumObject]) -> None:
    given = row["pass"]
    guest = GuestPass(
        person=cast.people[row["key"]],
        role=Role(given["role"]),
        organisation=cast.organisations[row["organisation"]],
        from_on=given["from"],
        until_on=given["until"],
    ).keep(**cast.kept())
    guest.put_lists(museum_objects=[made[number] for number in given["objects"]])
    guest.keep(**cast.kept())


def set_up_exhibitions(cast: Cast) -> dict[str, Exhibition]:
    made = {}
    for row in cast.data.exhibitions["exhibitions"]:
        exhibition = Exhibition(
            short=row["key"],
            title=row["title"],
            install_from=row["install_from"],
            opens=row["opens"],
            closes=row["closes"],
            deinstall_until=row["deinstall_until"],
            closed_weekdays=row["closed_weekdays"],
            manager=cast.people[row["manager"]],
            timetable=cast.timetables[row["timetable"]],
            state=row["state"],
        ).keep(**cast.kept())
        exhibition.put_lists(
            curators=[cast.people[key] for key in row["curators"]],
            places=[cast.places[key] for key in row["places"]],
        )
        made[row["key"]] = exhibition.keep(**cast.kept())
    return made
