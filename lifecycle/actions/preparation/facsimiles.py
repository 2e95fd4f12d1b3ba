"""The chain of a facsimile: asked, master, proof, approved, delivered, placed, out, kept or gone.

Each step carries its own evidence; none can be passed over, and a copy is never taken for the
original: its number is its own and the mark on its back is looked for before it is delivered.
"""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Final

from django.db import transaction

from lifecycle.actions.numbering import next_number
from lifecycle.actions.preparation.rights import allow_one_of
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.rights import Deed, SubjectFacts
from lifecycle.process.stages import Role
from lifecycle.queries.rights import about_object, about_showing
from lifecycle.records.models.objects import Face
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Picture
from lifecycle.records.models.places import Place
from lifecycle.records.models.preparation import (
    AfterShow,
    Facsimile,
    FacsimileState,
    FacsimileUse,
    ImagingJob,
    ImagingPurpose,
)
from lifecycle.records.models.showings import Showing

State = FacsimileState
BEFORE: Final = {
    State.MASTER_READY: (State.ASKED,),
    State.PROOF: (State.MASTER_READY, State.PROOF),
    State.APPROVED: (State.PROOF,),
    State.DELIVERED: (State.APPROVED,),
    State.PLACED: (State.DELIVERED, State.TAKEN_OUT, State.KEPT),
    State.TAKEN_OUT: (State.PLACED,),
    State.KEPT: (State.DELIVERED, State.TAKEN_OUT),
    State.DESTROYED: (
        State.PROOF,
        State.APPROVED,
        State.DELIVERED,
        State.TAKEN_OUT,
        State.KEPT,
    ),
}
"""For each state, the states it may follow."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FacsimileAsked:
    """What is asked for. Scale in percent of the original.

    Without ``needed_by`` its day follows the plan as it stands: worked back from the first time its
    face is hidden.
    """

    face: Face
    use: FacsimileUse
    public_label: str
    mark_on_back: str
    scale_percent: Decimal = Decimal(100)
    print_method: str = ""
    paper: str = ""
    trim: str = ""
    aged_look: bool = False
    needed_by: date | None = None
    with_whom: Person | None = None
    after_show: AfterShow = AfterShow.KEEP_FOR_NEXT


@transaction.atomic
def ask_for_facsimile(
    *, by: Person, role: Role, at: datetime, showing: Showing, asked: FacsimileAsked
) -> Facsimile:
    """Give a facsimile its own number and say what it is for.

    :raises Refused: if the face is another object's, or mark and label do not say what it is
    """
    allow_one_of(
        by=by,
        role=role,
        deeds=(Deed.CHOOSE, Deed.PREPARE),
        at=at,
        about=about_showing(showing),
    )
    held = Showing.objects.select_for_update(of=("self",)).get(pk=showing.pk)
    reasons = []
    if asked.face.museum_object_id != held.museum_object_id:
        reasons.append(Reason(f"{asked.face.label} is not a face of this object.", "face"))
    if "facsimile" not in asked.public_label.lower():
        text = "The public label must say that it is a facsimile, and why."
        reasons.append(Reason(text, "public_label"))
    if "not the original" not in asked.mark_on_back.lower():
        text = "The mark on the back must say ‘not the original’, with the year it was made."
        reasons.append(Reason(text, "mark_on_back"))
    if not 0 < asked.scale_percent <= 1000:
        reasons.append(Reason("Scale lies between 0 and 1000 %.", "scale_percent"))
    if reasons:
        raise Refused(reasons)
    return Facsimile(
        facsimile_no=next_number("FX"),
        of_face=asked.face,
        showing=held,
        use=asked.use,
        scale_percent=asked.scale_percent,
        print_method=asked.print_method.strip(),
        paper=asked.paper.strip(),
        trim=asked.trim.strip(),
        aged_look=asked.aged_look,
        mark_on_back=asked.mark_on_back.strip(),
        public_label=asked.public_label.strip(),
        needed_by=asked.needed_by,
        with_whom=asked.with_whom,
        after_show=asked.after_show,
        asked_by=by,
        asked_at=at,
    ).keep(by=by, role=role, why="facsimile asked for", at=at)


def _about(facsimile: Facsimile) -> SubjectFacts:
    if facsimile.showing is not None:
        return about_showing(facsimile.showing)
    return about_object(facsimile.of_face.museum_object)


def _next(
    facsimile: Facsimile,
    state: FacsimileState,
    *,
    by: Person,
    role: Role,
    at: datetime,
    deeds: tuple[Deed, ...],
) -> Facsimile:
    held = (
        Facsimile.objects.select_for_update(of=("self",))
        .select_related("of_face__museum_object", "showing__exhibition")
        .get(pk=facsimile.pk)
    )
    allow_one_of(by=by, role=role, deeds=deeds, at=at, about=_about(held))
    if held.state not in BEFORE[state]:
        wanted = " or ".join(s.label for s in BEFORE[state])
        raise Refused(
            Reason(
                f"{held.facsimile_no} is at ‘{FacsimileState(held.state).label}’; it becomes "
                f"‘{state.label}’ after ‘{wanted}’.",
                code="facsimile.order",
            )
        )
    held.state = state
    return held


@transaction.atomic
def name_master(
    *, by: Person, role: Role, at: datetime, facsimile: Facsimile, picture: Picture
) -> Facsimile:
    """Name the master image; it comes from an accepted imaging job of the same face."""
    held = _next(
        facsimile, State.MASTER_READY, by=by, role=role, at=at, deeds=(Deed.PREPARE, Deed.CHOOSE)
    )
    accepted = ImagingJob.objects.filter(
        face=held.of_face,
        purpose=ImagingPurpose.FACSIMILE_MASTER,
        accepted_at__isnull=False,
        files__picture=picture,
    )
    if not accepted.exists():
        text = (
            f"The master of {held.facsimile_no} must be an accepted picture of "
            f"{held.of_face.label}, made as facsimile master: accept the imaging job first."
        )
        raise Refused(Reason(text, "picture", "facsimile.master"))
    held.master = picture
    return held.keep(by=by, role=role, why="master named", at=at)


@transaction.atomic
def see_proof(
    *,
    by: Person,
    role: Role,
    at: datetime,
    facsimile: Facsimile,
    light: str,
    seen_at: datetime | None = None,
) -> Facsimile:
    """Record that a proof was seen, by whom and in which light: the gallery's, not the office's."""
    held = _next(facsimile, State.PROOF, by=by, role=role, at=at, deeds=(Deed.CHOOSE, Deed.PREPARE))
    if not light.strip():
        raise Refused(Reason("Say in which light the proof was seen.", "light"))
    if seen_at is not None and seen_at > at:
        raise Refused(Reason("The proof can't have been seen in the future.", "seen_at"))
    held.proof_seen_by, held.proof_seen_at = by, seen_at or at
    held.proof_light = light.strip()
    return held.keep(by=by, role=role, why="proof seen", at=at)


@transaction.atomic
def approve_facsimile(*, by: Person, role: Role, at: datetime, facsimile: Facsimile) -> Facsimile:
    """Approve the proof, as curator of the exhibition or head of collections."""
    held = _next(facsimile, State.APPROVED, by=by, role=role, at=at, deeds=(Deed.CHOOSE,))
    held.approved_by, held.approved_at = by, at
    return held.keep(by=by, role=role, why="facsimile approved", at=at)


@transaction.atomic
def deliver_facsimile(
    *, by: Person, role: Role, at: datetime, facsimile: Facsimile, mark_seen: bool
) -> Facsimile:
    """Deliver it, once the permanent mark was seen on its back."""
    held = _next(
        facsimile, State.DELIVERED, by=by, role=role, at=at, deeds=(Deed.PREPARE, Deed.CHOOSE)
    )
    if not mark_seen:
        text = f"Look for the mark on the back of {held.facsimile_no} before you take it over."
        raise Refused(Reason(text, "mark_seen", "facsimile.mark"))
    held.delivered_by, held.delivered_at, held.mark_seen_on_back = by, at, True
    return held.keep(by=by, role=role, why="facsimile delivered, marked on the back", at=at)


@transaction.atomic
def place_facsimile(
    *, by: Person, role: Role, at: datetime, facsimile: Facsimile, where: Place
) -> Facsimile:
    """Record that it stands in the case."""
    held = _next(
        facsimile, State.PLACED, by=by, role=role, at=at, deeds=(Deed.HANDLE, Deed.PREPARE)
    )
    held.placed_at, held.placed_where, held.taken_out_at = at, where, None
    return held.keep(by=by, role=role, why=f"placed in {where}", at=at)


@transaction.atomic
def take_facsimile_out(*, by: Person, role: Role, at: datetime, facsimile: Facsimile) -> Facsimile:
    """Record that it was taken out of the case."""
    held = _next(
        facsimile, State.TAKEN_OUT, by=by, role=role, at=at, deeds=(Deed.HANDLE, Deed.PREPARE)
    )
    held.taken_out_at = at
    return held.keep(by=by, role=role, why="taken out", at=at)


@transaction.atomic
def end_facsimile(
    *,
    by: Person,
    role: Role,
    at: datetime,
    facsimile: Facsimile,
    destroyed: bool,
    note: str,
) -> Facsimile:
    """Keep it somewhere, never in the original's housing, or destroy it."""
    state = State.DESTROYED if destroyed else State.KEPT
    held = _next(facsimile, state, by=by, role=role, at=at, deeds=(Deed.CHOOSE, Deed.PREPARE))
    if not note.strip():
        text = "Say how it was destroyed." if destroyed else "Say where it is kept."
        raise Refused(Reason(text, "note"))
    held.ended_at, held.ended_note = at, note.strip()
    return held.keep(by=by, role=role, why=state.label, at=at)
