"""Facsimiles that stand in for hidden faces: placed and taken out with the face that goes on show.

Who confirms at the case that the facsimile is right, was exchanged or was taken out, has moved it;
its own record follows in the same transaction, so that nobody writes it twice.
"""

from datetime import datetime

from lifecycle.process.stages import Role
from lifecycle.records.models.objects import Face
from lifecycle.records.models.people import Person
from lifecycle.records.models.places import Place
from lifecycle.records.models.preparation import Facsimile, FacsimileState, FacsimileUse
from lifecycle.records.models.showings import FaceWanted, Showing

STAND_IN = (FacsimileUse.SHOWS_OTHER_FACE.value, FacsimileUse.STANDS_IN.value)
TO_HAND = (FacsimileState.DELIVERED.value, FacsimileState.TAKEN_OUT.value)


def _locked(showing: Showing) -> list[Facsimile]:
    rows = Facsimile.objects.select_for_update(of=("self",)).filter(
        showing=showing, use__in=STAND_IN
    )
    return list(rows.order_by("pk"))


def _kept_for(showing: Showing, mine: list[Facsimile]) -> list[Facsimile]:
    """Those kept from an earlier showing, for faces of the plan that have none of their own."""
    own = {row.of_face_id for row in mine if row.state in (*TO_HAND, FacsimileState.PLACED)}
    wanted = FaceWanted.objects.filter(showing=showing, struck=False).values("face")
    rows = Facsimile.objects.select_for_update(of=("self",)).filter(
        of_face__in=wanted, state=FacsimileState.KEPT, use__in=STAND_IN
    )
    last = {row.of_face_id: row for row in rows.order_by("pk")}
    return [row for face, row in last.items() if face not in own]


def exchange_facsimiles(
    *,
    showing: Showing,
    shown: Face,
    place: Place,
    since: datetime,
    by: Person,
    role: Role,
    at: datetime,
) -> list[Facsimile]:
    """Place the facsimile of every hidden face, and take out that of the face on show ``since``.

    To be called in the transaction that opens the display period; returns what was moved. One that
    was never delivered stays where its chain is; one that was kept serves this showing from now on.
    """
    moved = []
    mine = _locked(showing)
    kept = _kept_for(showing, mine)
    for row in [*mine, *kept]:
        if row.of_face_id == shown.pk and row.state == FacsimileState.PLACED:
            moved.append(_out(row, since, by, role, at, f"{shown.label} is on show"))
        elif row.of_face_id != shown.pk and (row.state in TO_HAND or row in kept):
            row.showing = showing
            row.state, row.placed_at, row.placed_where = FacsimileState.PLACED, since, place
            row.taken_out_at = None
            why = f"placed in {place} while {shown.label} is on show"
            moved.append(row.keep(by=by, role=role, why=why, at=at))
    return moved


def take_facsimiles_out(
    *,
    showing: Showing,
    since: datetime,
    by: Person,
    role: Role,
    at: datetime,
    because: str = "taken down",
) -> list[Facsimile]:
    """Take out what stood in for a showing that came down, or gave its place to another object."""
    standing = [row for row in _locked(showing) if row.state == FacsimileState.PLACED]
    return [_out(row, since, by, role, at, because) for row in standing]


def put_facsimiles_back(
    *, showing: Showing, moved_at: datetime, by: Person, role: Role, at: datetime, reason: str
) -> list[Facsimile]:
    """Put back what the struck move of ``moved_at`` had placed or taken out.

    To be called in the transaction that strikes the move. One that somebody moved by hand since
    stays where it was put.
    """
    back = []
    for row in _locked(showing):
        last, *earlier = row.history.order_by("-history_id")[:2]
        moved = row.state in (FacsimileState.PLACED, FacsimileState.TAKEN_OUT)
        if not (earlier and moved and last.history_date == moved_at):
            continue
        (was,) = earlier
        row.state, row.placed_at, row.taken_out_at = was.state, was.placed_at, was.taken_out_at
        row.placed_where_id, row.showing_id = was.placed_where_id, was.showing_id
        back.append(row.keep(by=by, role=role, why=f"move struck: {reason}", at=at))
    return back


def _out(
    row: Facsimile, since: datetime, by: Person, role: Role, at: datetime, because: str
) -> Facsimile:
    row.state, row.taken_out_at = FacsimileState.TAKEN_OUT, since
    return row.keep(by=by, role=role, why=f"taken out: {because}", at=at)
