"""Run as a program: the same thing happens twice at one moment, on a database of its own.

Two people read the same light far above the ceiling; two registrars mark one clause broken; two
workers look out at once. Prints how many mails each person has for each of the three.
"""

import json
import threading
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import django
from django.db import connection

django.setup()

from lifecycle.actions.loans import change_clause  # noqa: E402
from lifecycle.actions.work.watching import tell_last_days  # noqa: E402
from lifecycle.process.stages import Role  # noqa: E402
from lifecycle.records.models import Message  # noqa: E402
from lifecycle.records.models.loans import RequirementState  # noqa: E402
from tests.actions.test_loans import acting, clause, loan  # noqa: E402
from tests.builders.core import make_face, make_person, make_place  # noqa: E402
from tests.builders.display import make_crew  # noqa: E402
from tests.builders.light import (  # noqa: E402
    hang,
    make_case,
    make_meter,
    read_light,
    shown_since_march,
)
from tests.builders.tables import make_tables  # noqa: E402

NOW = datetime(2026, 7, 20, 11, 0, tzinfo=UTC)


def both_at_once(deed: Callable[[], object]) -> None:
    both_here = threading.Barrier(2)
    done: list[object] = []

    def do() -> None:
        try:
            both_here.wait(timeout=20)
            done.append(deed())
        finally:
            connection.close()

    threads = [threading.Thread(target=do) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=40)
    assert len(done) == 2


def mails(part: str) -> list[int]:
    """How many mails each person has whose key holds this part."""
    told = Message.objects.filter(key__contains=part).values_list("person", flat=True)
    each = list(told)
    return sorted(each.count(person) for person in set(each))


def main() -> None:
    make_tables()
    crew = make_crew()
    make_person(Role.CONSERVATOR)
    case, meter = make_case(), make_meter()
    hang(make_face(), make_place(parent=case), opened_at=NOW - timedelta(days=30))
    row = clause(crew, loan(crew))
    shown_since_march(crew)
    both_at_once(lambda: read_light(case, "90", NOW, by=crew.conservator, instrument=meter))
    both_at_once(
        lambda: change_clause(
            **acting(crew), requirement=row, state=RequirementState.BROKEN, why="The logger."
        )
    )
    both_at_once(lambda: tell_last_days(at=NOW + timedelta(days=120)))
    found = {part: mails(part) for part in ("above-ceiling", "clause/", "last-day/")}
    print(json.dumps(found))  # noqa: T201


if __name__ == "__main__":
    main()
