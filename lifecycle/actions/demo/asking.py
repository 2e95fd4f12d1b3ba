"""The beginning of a demo trip: asked for, answered, taken in, examined, assessed."""

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from lifecycle.actions.demo.carrying import carry
from lifecycle.actions.demo.cast import Cast
from lifecycle.actions.demo.looking import baseline, word
from lifecycle.actions.display.answering import answer_request, decline
from lifecycle.actions.display.assessing import (
    Conditions,
    accept_conditions,
    sign_assessment,
    write_assessment,
)
from lifecycle.actions.display.requesting import AlternativeAsked, FaceAsked, Wish, ask_for
from lifecycle.actions.moves import make_move
from lifecycle.process.words import Answer, FitForDisplay, Orientation, Priority
from lifecycle.records.models import (
    ClassRule,
    Exhibition,
    Face,
    Loan,
    MuseumObject,
    Showing,
    Vocabulary,
)
from lifecycle.records.models.display.assessment import (
    AssessmentKind,
    RotationKind,
    TravelAllowed,
)

ALONE = "Nothing else in the collection says this."


def ask(
    cast: Cast, row: Mapping[str, Any], exhibition: Exhibition, at: datetime, loan: Loan | None
) -> Showing:
    """The curator asks for the faces of the row, one after the other, over the whole run."""
    thing = MuseumObject.objects.get(object_number=row["object"])
    labels = row["faces"]
    faces = [Face.objects.get(museum_object=thing, label=label) for label in labels]
    turn = row.get("turn")
    spans = [(exhibition.opens, exhibition.closes)]
    if turn is not None:
        spans = [
            (exhibition.opens, turn - timedelta(days=1)),
            (turn, exhibition.closes),
        ]
    other = row.get("instead", "")
    showing = ask_for(
        exhibition=exhibition,
        museum_object=thing,
        wish=Wish(
            faces=[
                FaceAsked(face=face, from_on=first, until_on=last)
                for face, (first, last) in zip(faces, spans, strict=True)
            ],
            reason=row.get("reason", "It shows how the weather was watched at its time."),
            show_from=exhibition.opens,
            show_to=exhibition.closes,
            priority=Priority.KEY_PIECE if len(faces) > 1 else Priority.IMPORTANT,
            alternatives=[AlternativeAsked(text=other)] if other else [],
            no_alternative_because="" if other else ALONE,
            place=cast.places.get(row.get("place", "")),
            loan=loan,
            late_note=row.get("late_note", ""),
            duplicates_seen=True,
        ),
        **cast.acting("wen", at),
    )
    if number := row.get("number"):
        showing.exhibition_number = number
        showing.keep(why="numbered", **cast.acting("josephine", at))
    return showing


def answer(cast: Cast, showing: Showing, at: datetime, *, because: str) -> None:
    answer_request(
        showing=showing,
        answer=Answer.YES_WITH_CONDITIONS,
        because=because,
        conditions="Light, support and handling as in the assessment.",
        **cast.acting("marit", at),
    )


def say_no(cast: Cast, showing: Showing, at: datetime) -> None:
    decline(
        showing=showing,
        grounds=["unstable-media"],
        because="The image has lost density since it was last shown; it needs the dark.",
        answer=Answer.NO,
        offered="A facsimile, or number 7 of the same set.",
        **cast.acting("marit", at),
    )


def take_in(cast: Cast, showing: Showing, at: datetime) -> None:
    make_move(showing_id=showing.pk, move="take_in", **cast.acting("marit", at))
    showing.refresh_from_db()
    bench = "objects-lab" if showing.museum_object.object_number in cast.solid else "paper-lab"
    receiver = "piers" if bench == "objects-lab" else "marit"
    carry(cast, showing, cast.places[bench], "examine", at + timedelta(hours=3), receiver=receiver)


def examine(cast: Cast, showing: Showing, at: datetime) -> None:
    faces = [wanted.face for wanted in showing.faces_wanted.order_by("order")]
    by = "piers" if showing.museum_object.object_number in cast.solid else "marit"
    baseline(cast, showing, faces, at, by=by)


def assess(
    cast: Cast,
    showing: Showing,
    at: datetime,
    *,
    fit: FitForDisplay = FitForDisplay.YES_WITH_CONDITIONS,
) -> None:
    """Conditions of display at the limits of the class, signed and accepted by the curator."""
    thing = showing.museum_object
    rule = ClassRule.objects.select_related("sensitivity_class").get(
        sensitivity_class=thing.sensitivity_class
    )
    faces = showing.faces_wanted.count()
    written = write_assessment(
        showing=showing,
        said=Conditions(
            kind=AssessmentKind.AT_BENCH,
            fit=fit,
            grounds=[word(Vocabulary.GROUND, "weak-structure")]
            if fit is FitForDisplay.AFTER_TREATMENT
            else [],
            sensitivity_class=rule.sensitivity_class,
            lux_ceiling=rule.max_lux,
            uv_ceiling=rule.max_uv or 75,
            max_dose_lx_h=rule.allowance_lx_h,
            max_weeks=rule.max_showing_weeks or 52,
            rotation_plan=RotationKind.TURN_TO_NEXT_FACE if faces > 1 else RotationKind.NONE,
            look_every_days=rule.look_every_days,
            reading_every_days=rule.reading_every_days,
            orientation=Orientation(thing.orientation_rule),
            support_rule="Carried wherever it is weak; nothing presses on the surface.",
            travel_allowed=TravelAllowed.WITHIN_BUILDING,
        ),
        **cast.acting("marit", at),
    )
    sign_assessment(assessment=written, hand=cast.hand("marit"), **cast.acting("marit", at))
    accept_conditions(assessment=written, hand=cast.hand("wen"), **cast.acting("wen", at))
