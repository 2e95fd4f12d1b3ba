"""Run as a program: two people press one move at one moment, on a database of their own.

Then two send one proposal at one moment, and one sends a proposal that another is just dropping.
Prints what each of them met, how many journal rows there are and how many signatures the proposal
bears. The database is named by ``TEST_DATABASE_URL``; it is built here, since rows that are
written once can't be flushed away.
"""

import json
import threading
import time
from collections.abc import Callable

import django
from django.db import connection, transaction

django.setup()

from lifecycle.actions.moves import Overtaken, make_move  # noqa: E402
from lifecycle.actions.refusals import Refused  # noqa: E402
from lifecycle.actions.treatment import drop_proposal, send_version  # noqa: E402
from lifecycle.process.stages import Role  # noqa: E402
from lifecycle.queries.showing_story import journal_of  # noqa: E402
from lifecycle.records.models import Person, Showing  # noqa: E402
from lifecycle.records.models.signing import Signature  # noqa: E402
from lifecycle.records.models.treatment import Proposal, ProposalVersion  # noqa: E402
from tests.builders.core import AT  # noqa: E402
from tests.builders.tables import make_tables  # noqa: E402
from tests.builders.treatment import hand_of, make_proposal  # noqa: E402
from tests.builders.trip import Museum, Trip  # noqa: E402


def main() -> None:
    make_tables()
    trip = Trip(Museum())
    trip.answer()
    said, met = trip.conservator, []
    seen = journal_of(trip.row())[-1].uid
    both_here = threading.Barrier(2)

    def press() -> None:
        try:
            both_here.wait(timeout=20)
            make_move(showing_id=trip.showing.pk, move="take_in", seen=seen, **said)
            met.append("made")
        except Overtaken as refused:
            met.append(str(refused))
        finally:
            connection.close()

    both(press)
    count, stage = trip.showing.journal.count(), trip.row().stage
    sent, signatures = send_twice(trip.row(), said["by"])
    late = send_while_dropped(trip.row(), said["by"])
    found = {"late": late, "met": sorted(met), "journal": count, "stage": stage}
    print(json.dumps(found | {"sent": sent, "signatures": signatures}))  # noqa: T201


def both(press: Callable[[], None]) -> None:
    threads = [threading.Thread(target=press) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=40)


def send_twice(showing: Showing, marit: Person) -> tuple[list[str], int]:
    version = make_proposal(marit, showing=showing).versions.get()
    met: list[str] = []
    both_here = threading.Barrier(2)

    def press() -> None:
        try:
            both_here.wait(timeout=20)
            send_version(hand=hand_of(marit, Role.CONSERVATOR), at=AT, version=version)
            met.append("sent")
        except Refused as refused:
            met.append(str(refused))
        finally:
            connection.close()

    both(press)
    return sorted(met), Signature.objects.filter(record_uid=version.uid).count()


def send_while_dropped(showing: Showing, marit: Person) -> list[object]:
    """One drops a proposal and does not let go of it at once; another sends it meanwhile."""
    drop_proposal(
        by=marit,
        role=Role.CONSERVATOR,
        at=AT,
        proposal=Proposal.objects.get(),
        why="Written for the race before.",
    )
    version = make_proposal(marit, showing=showing).versions.get()
    dropped, met = threading.Event(), []

    def drop() -> None:
        with transaction.atomic():
            drop_proposal(
                by=marit, role=Role.CONSERVATOR, at=AT, proposal=version.proposal, why="Not now."
            )
            dropped.set()
            time.sleep(1)
        connection.close()

    def send() -> None:
        try:
            dropped.wait(timeout=20)
            send_version(hand=hand_of(marit, Role.CONSERVATOR), at=AT, version=version)
            met.append("sent")
        except Refused as refused:
            met.append(str(refused))
        finally:
            connection.close()

    threads = [threading.Thread(target=deed) for deed in (drop, send)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=40)
    return [*met, ProposalVersion.objects.get(pk=version.pk).signed]


if __name__ == "__main__":
    main()
