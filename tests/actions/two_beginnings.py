"""Run as a program: two people begin one museum at one moment, on a database of their own."""

import json
import threading
from datetime import UTC, datetime

import django
from django.db import connection

django.setup()

from lifecycle.actions.beginning import begin  # noqa: E402
from lifecycle.actions.refusals import Refused  # noqa: E402
from lifecycle.records.models import Account, Museum, Person  # noqa: E402
from tests.builders.tables import make_tables  # noqa: E402


def main() -> None:
    make_tables()
    both_here, met = threading.Barrier(2), []

    def press(number: int) -> None:
        try:
            both_here.wait(timeout=20)
            begin(
                museum=f"Museum {number}",
                zone="Europe/London",
                full_name=f"Steward Number {number}",
                email="",
                username=f"steward{number}",
                password="a barometer in rain 7",
                at=datetime(2026, 6, 2, 9, tzinfo=UTC),
            )
            met.append("begun")
        except Refused as refused:
            met.append(refused.reasons[0].text)
        finally:
            connection.close()

    threads = [threading.Thread(target=press, args=[number]) for number in (1, 2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=40)
    rows = [model.objects.count() for model in (Museum, Person, Account)]
    print(json.dumps({"met": sorted(met), "rows": rows}))  # noqa: T201


if __name__ == "__main__":
    main()
