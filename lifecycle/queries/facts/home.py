"""What stands between the objects of showings and their home: ways, loans, papers, open ends."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime, tzinfo

from lifecycle.process.facts.home import (
    HomeFacts,
    IncidentFacts,
    LoanFacts,
    MovementFacts,
    PaperFacts,
)
from lifecycle.process.minutes import before
from lifecycle.process.words import PlaceKind
from lifecycle.records.models import (
    IncidentObject,
    LenderLeave,
    MovementLine,
    PassOn,
    PrintAbout,
    Showing,
)


def homes_of(
    showings: Sequence[Showing], taken_down_at: dict[int, datetime | None]
) -> dict[int, HomeFacts]:
    """Return, per showing, everything that must be settled before its file is closed."""
    pks = [showing.pk for showing in showings]
    movements = _movements(showings, taken_down_at)
    leaves = {
        row.showing_id: row
        for row in LenderLeave.objects.filter(showing__in=pks).order_by("asked_at", "pk")
    }
    papers = _papers(pks)
    incidents = _incidents({showing.museum_object_id for showing in showings})
    return {
        showing.pk: HomeFacts(
            movements=tuple(movements[showing.pk]),
            loan=_loan(showing, leaves.get(showing.pk)),
            papers_out=tuple(papers[showing.pk]),
            open_incidents=tuple(incidents[showing.museum_object_id]),
            resting_stored=showing.resting_until is not None,
        )
        for showing in showings
    }


def _movements(
    showings: Sequence[Showing], taken_down_at: dict[int, datetime | None]
) -> dict[int, list[MovementFacts]]:
    found: dict[int, list[MovementFacts]] = defaultdict(list)
    by_pk = {showing.pk: showing for showing in showings}
    onward = set(
        PassOn.objects.filter(from_showing__in=by_pk).values_list("movement_id", flat=True)
    )
    rows = MovementLine.objects.filter(showing__in=by_pk, movement__cancelled_at=None)
    for line in rows.select_related("movement__to_place").order_by("movement__left_at", "pk"):
        showing, row = by_pk[line.showing_id or 0], line.movement
        down = taken_down_at.get(showing.pk)
        left = row.left_at
        after_display = down is None or (left is not None and not before(left, down))
        thing = showing.museum_object
        is_home = row.to_place_id == thing.normal_location_id or (
            thing.lender_id is not None and row.to_place.kind == PlaceKind.LENDER
        )
        position = showing.place
        near = (
            {position.pk, position.parent_id}
            if position is not None and position.kind == PlaceKind.POSITION
            else {position.pk if position is not None else None}
        )
        found[showing.pk].append(
            MovementFacts(
                uid=str(row.uid),
                number=row.movement_no,
                to_place=row.to_place.name,
                to_home=is_home and after_display,
                to_position=row.to_place_id in near,
                to_next=row.pk in onward,
                sent_signed=row.handed_over_signature_id is not None,
                received_signed=row.received_signature_id is not None,
                arrived_at=row.arrived_at,
                confirmed=row.arrival_confirmed_at is not None,
                left_at=row.left_at,
            )
        )
    return found


def last_moved(showings: Sequence[Showing], zone: tzinfo) -> dict[int, datetime]:
    """Return, per object, its last arrival anywhere, on the clock of a zone.

    The way to its own position is left out.
    """
    ids = {showing.museum_object_id: showing for showing in showings}
    found: dict[int, datetime] = {}
    rows = MovementLine.objects.filter(museum_object__in=ids, movement__arrived_at__isnull=False)
    for object_id, place_id, arrived_at in rows.values_list(
        "museum_object_id", "movement__to_place_id", "movement__arrived_at"
    ):
        position = ids[object_id].place
        own = {position.pk, position.parent_id} if position is not None else set()
        if place_id in own or arrived_at is None:
            continue
        arrived = arrived_at.astimezone(zone)
        found[object_id] = max(found.get(object_id, arrived), arrived)
    return found


def _loan(showing: Showing, leave: LenderLeave | None) -> LoanFacts | None:
    row = showing.loan
    if row is None and leave is None:
        return None
    answer = leave.answer if leave is not None else ""
    if row is None:
        return LoanFacts(
            number="",
            leave_asked=leave is not None,
            leave_answer=answer,
            leave_refused=answer == "refused",
        )
    return LoanFacts(
        number=row.agreement_no,
        uid=str(row.uid),
        lender=row.lender.name,
        agreement_signed=row.agreement_signed_on is not None,
        clauses_entered=row.clauses_complete_on is not None,
        leave_asked=leave is not None,
        leave_answer=answer,
        leave_refused=answer == "refused",
        courier_at_install=row.courier_at_install,
        courier_at_turn=row.courier_at_turn,
        courier_at_deinstall=row.courier_at_deinstall,
        exit_authorised=row.exit_authorised_at is not None,
        receipt_signed=row.receipt_signed_at is not None,
        ends_on=row.ends_on,
    )


def _papers(pks: Sequence[int]) -> dict[int, list[PaperFacts]]:
    """Prints expected back that are neither back nor written off."""
    found: dict[int, list[PaperFacts]] = defaultdict(list)
    rows = PrintAbout.objects.filter(
        showing__in=pks, print__expected_back=True, print__returns=None, print__write_off=None
    )
    for line in rows.select_related("print__printed_by").order_by("print__print_no"):
        row = line.print
        if line.showing_id is None or row.expected_back_by is None:
            continue
        found[line.showing_id].append(
            PaperFacts(
                number=row.print_no,
                title=row.get_paper_display(),
                expected_on=row.expected_back_by,
                printed_by=row.printed_by.full_name,
                printed_by_id=row.printed_by_id,
            )
        )
    return found


def _incidents(object_ids: set[int]) -> dict[int, list[IncidentFacts]]:
    found: dict[int, list[IncidentFacts]] = defaultdict(list)
    rows = IncidentObject.objects.filter(museum_object__in=object_ids, incident__closed_at=None)
    for line in rows.select_related("incident").order_by("incident__incident_no"):
        found[line.museum_object_id].append(
            IncidentFacts(uid=str(line.incident.uid), number=line.incident.incident_no)
        )
    return found
