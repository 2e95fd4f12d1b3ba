"""Run as a program: two people press one move at one moment, on a database of their own.

Prints what each of them met and how many journal rows there are. The database is named by
``TEST_DATABASE_URL``; it is built here, since rows that are written once can't be flushed away.
"""

import json
import threading

import django
from django.core.management import call_command
from django.db import connection

django.setup()

from lifecycle.actions.moves import Overtaken, make_move  # noqa: E402
from lifecycle.queries.showing_story import journal_of  # noqa: E402
from tests.builders.trip import Museum, Trip  # noqa: E402


def main() -> None:
    call_command("migrate", verbosity=0)
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

    threads = [threading.Thread(target=press) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=40)
    count, stage = trip.showing.journal.count(), trip.row().stage
    print(json.dumps({"met": sorted(met), "journal": count, "stage": stage}))  # noqa: T201


if __name__ == "__main__":
    main()
