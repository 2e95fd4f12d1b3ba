"""Housing: specified, ordered, made, tried with the object; the gate of the way home."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from lifecycle.actions.numbering import next_number
from lifecycle.actions.preparation.rights import allow_one_of
from lifecycle.actions.refusals import Conflict, Reason, Refused
from lifecycle.process.days import day_words
from lifecycle.process.rights import Deed, SubjectFacts
from lifecycle.process.stages import Role
from lifecycle.process.words import Hazard, Orientation
from lifecycle.queries.changes import who_saved
from lifecycle.queries.rights import about_object, about_showing, museum_day
from lifecycle.queries.treatment.cautions import live_hazards
from lifecycle.records.models.display import DisplayPeriod
from lifecycle.records.models.objects import Component, MuseumObject
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Picture
from lifecycle.records.models.preparation import Board, Housing, OldHousing, OldNotes
from lifecycle.records.models.showings import Showing
from lifecycle.records.models.words import Vocabulary, Word

WANTS_UNBUFFERED = frozenset({"cyanotype", "iron-blue", "silk", "wool"})
"""Material and technique codes for which the house's rule is unbuffered board.

Our own rule, after published advice on enclosures for photographs: worry about alkaline reserve is
mostly for cyanotypes and colour photographs; protein textiles prefer neutral board. It warns; the
conservator may go on with a written reason.
"""

#: Ways of lying that the object itself asks for; as mounted, it may be out of its mount at home.
LIES_ONE_WAY = frozenset(
    {Orientation.FLAT_FACE_UP, Orientation.FLAT_FACE_DOWN, Orientation.UPRIGHT_ONLY}
)


@dataclass(frozen=True, slots=True, kw_only=True)
class HousingWanted:
    """What is specified. Inner sizes in millimetres."""

    kind: Word
    board: Board
    board_reason: str = ""
    air_access: bool = False
    fit_for_travel: bool = False
    inner_height_mm: Decimal | None = None
    inner_width_mm: Decimal | None = None
    inner_depth_mm: Decimal | None = None
    orientation: Orientation = Orientation.ANY
    lift_aid: str = ""
    closure: str = ""
    with_whom: Person | None = None


def board_caution(museum_object: MuseumObject, board: Board) -> str:
    """Return why this board asks for a reason on this object, or nothing."""
    if board is not Board.ALKALINE_RESERVE:
        return ""
    codes = set(museum_object.materials.values_list("code", flat=True))
    codes |= set(museum_object.techniques.values_list("code", flat=True))
    hit = sorted(codes & WANTS_UNBUFFERED)
    if not hit:
        return ""
    return (
        f"{museum_object.object_number} is of {', '.join(hit)}: house rule says unbuffered board. "
        "Published advice differs on how much harm an alkaline reserve does; damp makes it worse."
    )


def _about(museum_object: MuseumObject, showing: Showing | None) -> SubjectFacts:
    return about_object(museum_object) if showing is None else about_showing(showing)


@transaction.atomic
def specify_housing(
    *,
    by: Person,
    role: Role,
    at: datetime,
    museum_object: MuseumObject,
    wanted: HousingWanted,
    showing: Showing | None = None,
    component: Component | None = None,
) -> Housing:
    """Specify the housing of an object or of one component; it gets its own number.

    :raises Refused: if one is in use already, or the board needs a reason
    """
    about = _about(museum_object, showing)
    allow_one_of(by=by, role=role, deeds=(Deed.PREPARE,), at=at, about=about)
    held = MuseumObject.objects.select_for_update(of=("self",)).get(pk=museum_object.pk)
    reasons = []
    in_use = Housing.objects.filter(museum_object=held, component=component, retired_at=None)
    if (other := in_use.first()) is not None:
        text = f"{other.housing_no} is in use for it: put that one out of use first."
        reasons.append(Reason(text, code="housing.in_use"))
    if component is not None and component.museum_object_id != held.pk:
        reasons.append(Reason(f"{component} does not belong to {held}.", "component"))
    reasons += _faults(held, wanted)
    if reasons:
        raise Refused(reasons)
    housing = Housing(
        housing_no=next_number("HG"),
        museum_object=held,
        component=component,
        showing=showing,
        specified_on=museum_day(at),
        specified_by=by,
    )
    _write(housing, wanted)
    return housing.keep(by=by, role=role, why="housing specified", at=at)


def _faults(museum_object: MuseumObject, wanted: HousingWanted) -> list[Reason]:
    reasons = []
    if wanted.kind.vocabulary != Vocabulary.HOUSING_KIND:
        reasons.append(Reason(f"{wanted.kind.label} is not a kind of housing.", "kind"))
    for name in ("inner_height_mm", "inner_width_mm", "inner_depth_mm"):
        value = getattr(wanted, name)
        if value is not None and value <= 0:
            reasons.append(Reason("A size is more than nothing.", name))
    rule = Orientation(museum_object.orientation_rule)
    if rule in LIES_ONE_WAY and wanted.orientation is not rule:
        text = (
            f"{museum_object.object_number} is kept {rule.label}: its housing keeps it so too. If "
            "that no longer holds, change it on the object first."
        )
        reasons.append(Reason(text, "orientation", "housing.orientation"))
    caution = board_caution(museum_object, wanted.board)
    if caution and not wanted.board_reason.strip():
        text = f"{caution} Choose another board, or say why this one."
        reasons.append(Reason(text, "board_reason", "housing.board"))
    return reasons


def _write(housing: Housing, wanted: HousingWanted) -> None:
    housing.kind, housing.board = wanted.kind, wanted.board
    housing.board_reason = wanted.board_reason.strip()
    housing.air_access, housing.fit_for_travel = wanted.air_access, wanted.fit_for_travel
    housing.inner_height_mm = wanted.inner_height_mm
    housing.inner_width_mm = wanted.inner_width_mm
    housing.inner_depth_mm = wanted.inner_depth_mm
    housing.orientation = wanted.orientation
    housing.lift_aid, housing.closure = wanted.lift_aid.strip(), wanted.closure.strip()
    housing.with_whom = wanted.with_whom


def _locked(housing: Housing) -> Housing:
    held = (
        Housing.objects.select_for_update(of=("self",))
        .select_related("museum_object", "showing__exhibition", "kind", "component")
        .get(pk=housing.pk)
    )
    if held.retired_at is not None:
        raise Refused(f"{held.housing_no} is out of use ({held.retired_why}).")
    return held


@transaction.atomic
def change_housing(
    *,
    by: Person,
    role: Role,
    at: datetime,
    housing: Housing,
    edition: int,
    wanted: HousingWanted,
) -> Housing:
    """Change the specification. It has to be tried again, and its label says something else.

    :raises Conflict: if somebody saved meanwhile
    """
    held = _locked(housing)
    about = _about(held.museum_object, held.showing)
    allow_one_of(by=by, role=role, deeds=(Deed.PREPARE,), at=at, about=about)
    if held.edition != edition:
        who = who_saved(held)
        raise Conflict(
            f"{who} saved {held.housing_no} while you were writing. Nothing of yours is lost.",
            theirs={"closure": held.closure, "lift_aid": held.lift_aid},
            mine={"closure": wanted.closure, "lift_aid": wanted.lift_aid},
            by=who,
            version=held.edition,
        )
    if reasons := _faults(held.museum_object, wanted):
        raise Refused(reasons)
    _write(held, wanted)
    held.edition += 1
    held.fits = held.fits_by = held.fits_at = None
    held.label_printed_at, held.label_says = None, ""
    return held.keep(by=by, role=role, why="specification changed", at=at)


@transaction.atomic
def housing_ordered_or_made(
    *,
    by: Person,
    role: Role,
    at: datetime,
    housing: Housing,
    ordered_on: date | None = None,
    made_on: date | None = None,
    made_by: str = "",
) -> Housing:
    """Write down that it was ordered, or made and by whom."""
    held = _locked(housing)
    about = _about(held.museum_object, held.showing)
    allow_one_of(by=by, role=role, deeds=(Deed.PREPARE, Deed.HANDLE), at=at, about=about)
    today = museum_day(at)
    ordered = ordered_on or held.ordered_on
    reasons = []
    if ordered_on is None and made_on is None:
        reasons.append(Reason("Give the day it was ordered or made.", "ordered_on"))
    for name, value in (("ordered_on", ordered_on), ("made_on", made_on)):
        if value is not None and value > today:
            reasons.append(Reason("What is done can't lie in the future.", name))
    if made_on is not None and not made_by.strip():
        reasons.append(Reason("Say who made it.", "made_by"))
    if made_on is not None and ordered is not None and made_on < ordered:
        reasons.append(Reason("Made before it was ordered: check both days.", "made_on"))
    if reasons:
        raise Refused(reasons)
    held.ordered_on = ordered
    if made_on is not None:
        held.made_on, held.made_by = made_on, made_by.strip()
    return held.keep(by=by, role=role, why="made" if made_on else "ordered", at=at)


@transaction.atomic
def try_housing(
    *,
    by: Person,
    role: Role,
    at: datetime,
    housing: Housing,
    fits: bool,
    tried_at: datetime,
    note: str = "",
    old_housing: OldHousing = OldHousing.NONE,
    old_notes: OldNotes = OldNotes.NONE,
    old_notes_kept: str = "",
    contents_picture: Picture | None = None,
    old_housing_picture: Picture | None = None,
    old_notes_picture: Picture | None = None,
) -> Housing:
    """Record that it was tried with the object, and what became of the old housing and its notes.

    A picture given before stands until another is given.

    :raises Refused: if it is not made, does not fit without a word, or old notes are lost
    """
    held = _locked(housing)
    about = _about(held.museum_object, held.showing)
    allow_one_of(by=by, role=role, deeds=(Deed.PREPARE, Deed.HANDLE), at=at, about=about)
    reasons = []
    if held.made_on is None:
        text = f"{held.housing_no} is not made yet: say when and by whom first."
        reasons.append(Reason(text, code="housing.not_made"))
    if tried_at > at:
        reasons.append(Reason("It can't have been tried in the future.", "tried_at"))
    elif held.made_on is not None and museum_day(tried_at) < held.made_on:
        text = f"{held.housing_no} was made on {day_words(held.made_on)}: it was tried after that."
        reasons.append(Reason(text, "tried_at"))
    elif (shown := _on_show(held.museum_object, tried_at)) is not None:
        text = (
            f"{held.museum_object.object_number} lay in {shown.place} then: try it with the object "
            "present, before it goes up or when it has come down."
        )
        reasons.append(Reason(text, "tried_at", "housing.present"))
    if not fits and not note.strip():
        reasons.append(Reason("Say what does not fit.", "note"))
    kept_at = old_notes_kept.strip()
    notes_picture = old_notes_picture or held.old_notes_picture
    if old_notes is OldNotes.PHOTOGRAPHED and notes_picture is not None and not kept_at:
        kept_at = f"in the picture {notes_picture.name}"
    if old_notes is not OldNotes.NONE and not kept_at:
        text = "Old notes are evidence: add their picture, or say where the copy or picture is."
        reasons.append(Reason(text, "old_notes_kept"))
    housing_picture = old_housing_picture or held.old_housing_picture
    if old_housing is OldHousing.DISCARDED and housing_picture is None:
        text = "Photograph the old housing before it is thrown away: it is evidence too."
        reasons.append(Reason(text, "old_housing_picture", "housing.old_picture"))
    if reasons:
        raise Refused(reasons)
    held.fits, held.fits_by, held.fits_at = fits, by, tried_at
    held.fits_note = note.strip()
    held.old_housing, held.old_notes = old_housing, old_notes
    held.old_notes_kept = kept_at
    held.contents_picture = contents_picture or held.contents_picture
    held.old_housing_picture, held.old_notes_picture = housing_picture, notes_picture
    return held.keep(by=by, role=role, why="tried with the object", at=at)


def _on_show(museum_object: MuseumObject, moment: datetime) -> DisplayPeriod | None:
    """The display period in which the object was at that moment, if it was in one."""
    rows = DisplayPeriod.objects.filter(
        museum_object=museum_object, struck_at=None, opened_at__lte=moment
    )
    rows = rows.exclude(closed_at__lte=moment).select_related("place")
    return rows.order_by("-opened_at", "-pk").first()


@transaction.atomic
def label_housing(*, by: Person, role: Role, at: datetime, housing: Housing, says: str) -> Housing:
    """Record a label that was written by hand, word for word; a printed one is a print already.

    :raises Refused: if it is not said what stands on it, or its hazards are not
    """
    held = _locked(housing)
    about = _about(held.museum_object, held.showing)
    deeds = (Deed.PREPARE, Deed.HANDLE, Deed.REGISTER)
    allow_one_of(by=by, role=role, deeds=deeds, at=at, about=about)
    reasons = []
    if not says.strip():
        reasons.append(Reason("Copy what stands on the label, word for word.", "says"))
    elif missing := _hazards_not_in(says, held.museum_object):
        text = (
            f"The label does not name {', '.join(missing)}: whoever opens the housing has to read "
            "it. Write it on the label, and here."
        )
        reasons.append(Reason(text, "says", "housing.label_hazards"))
    if reasons:
        raise Refused(reasons)
    held.label_printed_at, held.label_says = at, says.strip()
    return held.keep(by=by, role=role, why="label written by hand", at=at)


def _hazards_not_in(says: str, museum_object: MuseumObject) -> list[str]:
    said = " ".join(says.lower().split())
    real = [one for one in live_hazards(museum_object) if one is not Hazard.NONE_KNOWN]
    return [one.label for one in real if one.label.lower() not in said]


@transaction.atomic
def put_housing_aside(
    *, by: Person, role: Role, at: datetime, housing: Housing, why: str
) -> Housing:
    """Put a housing out of use; its record stays."""
    held = _locked(housing)
    about = _about(held.museum_object, held.showing)
    allow_one_of(by=by, role=role, deeds=(Deed.PREPARE,), at=at, about=about)
    if not why.strip():
        raise Refused(Reason("Say why it is put out of use.", "why"))
    held.retired_at, held.retired_why = at, why.strip()
    return held.keep(by=by, role=role, why=why, at=at)
