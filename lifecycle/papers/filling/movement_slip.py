"""From a movement: every object on it with its hazards, and the cards for the empty places."""

from lifecycle.papers.filling.block_o import (
    WITH_OBJECT,
    House,
    block_o,
    caution_lines,
    day,
    face_words,
    hazards_of,
    house,
    person_name,
    place_path,
)
from lifecycle.papers.words.movement_slip import MovementSlipWords
from lifecycle.papers.words.parts import BlockO, FaceWords
from lifecycle.process.carrying import Load, people_demanded
from lifecycle.process.cautions import CautionFor
from lifecycle.process.stages import Role
from lifecycle.process.words import Hazard, Orientation
from lifecycle.queries.condition.ink import ink_sentences
from lifecycle.records.models import FaceWanted, Movement, MovementLine, RemovalCard

_NUMBERS = {1: "One person", 2: "Two people", 3: "Three people", 4: "Four people"}
NO_AUTHORITY = "not yet given: nothing may leave"


def movement_slip_words(movement: Movement) -> MovementSlipWords:
    """The words of the paper; a fixed number of queries, however many objects."""
    of_house = house()
    movement = Movement.objects.select_related(
        "from_place__parent__parent__parent__parent",
        "to_place__parent__parent__parent__parent",
        "reason",
        "method",
        "carried_by",
        "authorised_by",
    ).get(pk=movement.pk)
    lines = list(
        MovementLine.objects.filter(movement=movement)
        .select_related("showing__exhibition", *(f"museum_object__{name}" for name in WITH_OBJECT))
        .prefetch_related("museum_object__hazards")
        .order_by("museum_object__object_number")
    )
    faces = _faces(lines)
    objects = tuple(_object(line, faces.get(line.showing_id or 0), of_house) for line in lines)
    least, needs = people_demanded([_load(line) for line in lines])
    people = max(least, movement.people_needed)
    return MovementSlipWords(
        institution=of_house.name,
        movement_no=movement.movement_no,
        objects=objects,
        going_from=place_path(movement.from_place),
        going_to=place_path(movement.to_place),
        reason=movement.reason.label,
        planned_for=of_house.moment(movement.planned_for),
        expected_back=day(movement.expected_back_on),
        authorised_by=_authority(movement),
        authorised_at=of_house.moment(movement.authorised_at),
        people_needed=people,
        people_words=_people(people, tuple(need.text for need in needs)),
        method=movement.method.label if movement.method else "",
        carried_by=person_name(movement.carried_by),
        route_remarks=movement.route_remarks,
        card_numbers=_cards(movement, lines),
        hazard_line=_hazard_line(objects),
        cautions=(
            *ink_sentences([line.museum_object for line in lines]),
            *caution_lines(
                [
                    hazard
                    for hazard in Hazard
                    if any(hazard in hazards_of(line.museum_object) for line in lines)
                ],
                CautionFor.MOVEMENT_PAPER,
            ),
        ),
    )


def _object(line: MovementLine, face: FaceWords | None, of_house: House) -> BlockO:
    return block_o(
        line.museum_object,
        of_house=of_house,
        activity=CautionFor.MOVEMENT_PAPER,
        showing=line.showing,
        face=face,
    )


def _faces(lines: list[MovementLine]) -> dict[int, FaceWords]:
    """The first face of each showing's plan; its picture helps to find the right object."""
    rows = (
        FaceWanted.objects.filter(
            showing__in=[line.showing_id for line in lines if line.showing_id], struck=False
        )
        .select_related("face__thumbnail")
        .order_by("order")
    )
    faces: dict[int, FaceWords] = {}
    for row in rows:
        faces.setdefault(row.showing_id, face_words(row.face))
    return faces


def _load(line: MovementLine) -> Load:
    return Load(
        number=line.museum_object.object_number,
        hazards=frozenset(hazards_of(line.museum_object)),
        orientation=Orientation(line.museum_object.orientation_rule),
        weight_g=line.museum_object.weight_g,
    )


def _people(count: int, needs: tuple[str, ...]) -> str:
    number = _NUMBERS.get(count, f"{count} people")
    return f"{number}, named on this slip" if not needs else f"{number}. {' '.join(needs)}"


def _authority(movement: Movement) -> str:
    if movement.authorised_by is None:
        return NO_AUTHORITY
    role = Role(movement.authorised_role).label if movement.authorised_role else ""
    return ", ".join(part for part in (movement.authorised_by.full_name, role) if part)


def _cards(movement: Movement, lines: list[MovementLine]) -> tuple[str, ...]:
    """Numbers of the cards in the order of the objects; until written, the movement's own."""
    written = {
        card.museum_object_id: card.card_no
        for card in RemovalCard.objects.filter(movement=movement)
    }
    return tuple(
        written.get(line.museum_object_id, f"{movement.movement_no}-{number}")
        for number, line in enumerate(lines, start=1)
    )


def _hazard_line(objects: tuple[BlockO, ...]) -> str:
    """All hazards on the movement in one line; with several objects each is named."""
    if len(objects) == 1:
        return objects[0].hazard_line
    told = [
        f"{one.object_number}: {one.hazard_line.split(': ', 1)[-1]}"
        for one in objects
        if one.hazardous
    ]
    return f"Hazards: {'; '.join(told)}" if told else "Hazards: none known"
