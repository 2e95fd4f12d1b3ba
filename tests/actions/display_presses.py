"""Run as a program: two people do the same display deed at one moment, each with a connection.

One object is walked from ready back to its shelf; at each deed two people press at once. Prints for
each what both met and how many rows of each kind there are. The database is named by
``TEST_DATABASE_URL``; it is built here, since rows that are written once can't be flushed away.
"""

import json
import threading
from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from typing import Any

import django
from django.db import connection, transaction

django.setup()

from lifecycle.actions.display.going_home import send_home  # noqa: E402
from lifecycle.actions.display.installing import install  # noqa: E402
from lifecycle.actions.display.rotating import Shown, show_again, start_rotation  # noqa: E402
from lifecycle.actions.display.taking_down import Found, take_down  # noqa: E402
from lifecycle.actions.refusals import Refused  # noqa: E402
from lifecycle.actions.strikes import strike_move  # noqa: E402
from lifecycle.process.stages import Role  # noqa: E402
from lifecycle.process.words import ReportKind  # noqa: E402
from lifecycle.queries.showing_story import journal_of  # noqa: E402
from lifecycle.records.models import (  # noqa: E402
    DisplayPeriod,
    InstallCheck,
    LightReading,
    Person,
    StruckMove,
    TakeDown,
    TurnRecord,
)
from lifecycle.records.models.display.ending import FacsimileOut, FoundAs, MountFate  # noqa: E402
from lifecycle.records.models.display.rotation import SupportDone, SwapDone  # noqa: E402
from tests.builders.core import make_person  # noqa: E402
from tests.builders.display import all_seen, hand, meter_says  # noqa: E402
from tests.builders.tables import make_tables  # noqa: E402
from tests.builders.trip import Museum, Trip  # noqa: E402

Press = Callable[[Person, datetime], object]


class Gallery:
    """The object of the day and what two conservators do to it."""

    def __init__(self) -> None:
        self.trip = Trip(Museum(), faces=2)
        self.second = self.trip.crew.registrar
        self.two = (self.trip.crew.conservator, make_person(Role.CONSERVATOR, name="Piers Hallam"))

    def hands(self, lead: Person) -> dict[str, Any]:
        return {
            "one": hand(lead, Role.CONSERVATOR),
            "other": hand(self.second, Role.REGISTRAR),
            "showing": self.trip.row(),
        }

    def install(self, by: Person, at: datetime) -> object:
        return install(
            **self.hands(by),
            at=at,
            face=self.trip.faces[0],
            place=self.trip.place,
            observed_at=at,
            seen=all_seen(),
        )

    def start(self, by: Person, at: datetime) -> object:
        return start_rotation(**self.hands(by), at=at, reason="Half-way.", started_at=at)

    def again(self, by: Person, at: datetime) -> object:
        shown = Shown(
            to_face=self.trip.faces[1],
            place=self.trip.place,
            support=SupportDone.CHANGED,
            support_fits=True,
            way_up_right=True,
            facsimile=SwapDone.NOT_NEEDED,
            caption=SwapDone.NOT_NEEDED,
            photo_after=all_seen().photo,
            meter=meter_says("45"),
        )
        return show_again(**self.hands(by), at=at, done_at=at, shown=shown)

    def down(self, by: Person, at: datetime) -> object:
        said = Found(
            taken_down_at=at,
            lamps_off_at=at,
            found=FoundAs.AS_PLACED,
            mount=MountFate.TAKEN_OUT,
            facsimile=FacsimileOut.NONE,
            handed_to="Marit Oldacre",
            meter=meter_says("43"),
            early_reason="The gallery closes.",
            curator_told_at=at,
        )
        return take_down(
            by=by,
            role=Role.CONSERVATOR,
            at=at,
            showing=self.trip.row(),
            said=said,
            second=self.second,
            second_role=Role.REGISTRAR,
        )

    def home(self, by: Person, at: datetime) -> object:
        return send_home(by=by, role=Role.REGISTRAR, at=at, showing=self.trip.row())

    def strike(self, by: Person, at: datetime) -> object:
        entry = self.trip.showing.journal.order_by("-pk")[0]
        role = Role.HEAD_OF_COLLECTIONS if by == self.trip.crew.head else Role.CONSERVATOR
        return strike_move(entry_id=entry.pk, by=by, role=role, at=at, reason="The wrong sheet.")

    def counts(self) -> dict[str, int]:
        mine: dict[str, Any] = {"showing": self.trip.showing}
        return {
            "moves": self.trip.showing.journal.count(),
            "struck": StruckMove.objects.filter(entry__showing=self.trip.showing).count(),
            "checks": InstallCheck.objects.filter(**mine).count(),
            "periods": DisplayPeriod.objects.filter(**mine).count(),
            "open periods": DisplayPeriod.objects.filter(
                **mine, closed_at=None, struck_at=None
            ).count(),
            "turns": TurnRecord.objects.filter(**mine).count(),
            "take-downs": TakeDown.objects.filter(**mine).count(),
            "readings": LightReading.objects.filter(**mine).count(),
        }

    def make_ready(self, act: Callable[[], object]) -> None:
        """Deal with every reason against the deed until it would succeed; nothing of it stays."""
        met = "nothing"
        for _ in range(12):
            try:
                with transaction.atomic():
                    act()
                    transaction.set_rollback(True)
            except Refused as refused:
                met = str(refused)
                for reason in refused.reasons:
                    with suppress(Refused):  # two reasons may ask for one deed
                        self.trip.deal_with(reason.code)
            else:
                return
        raise RuntimeError(f"Still in the way: {met}")

    def both(self, press: Press, *people: Person) -> dict[str, Any]:
        """Two people press at one moment; return what they met, and what is new."""
        first, other = people or self.two
        self.make_ready(lambda: press(first, self.trip.tick()))
        before, at, met = self.counts(), self.trip.tick(), []
        both_here = threading.Barrier(2)

        def alone(person: Person) -> None:
            try:
                both_here.wait(timeout=20)
                press(person, at)
                met.append("made")
            except Refused as refused:
                met.append(f"told: {refused}")
            except Exception as fault:  # noqa: BLE001 - whatever else it meets is reported
                met.append(f"fault: {fault!r}")
            finally:
                connection.close()

        threads = [threading.Thread(target=alone, args=(who,)) for who in (first, other)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join(timeout=40)
        after = self.counts()
        new = {name: after[name] - before[name] for name in after if after[name] != before[name]}
        return {"met": sorted(met), "new": new, "stage": self.trip.row().stage}


def main() -> None:
    make_tables()
    gallery = Gallery()
    trip, found = gallery.trip, {}
    for move in ("take_in", "no_treatment_needed", "declare_ready"):
        gallery.make_ready(lambda: trip.move(move))  # noqa: B023
        trip.move(move)
    found["install"] = gallery.both(gallery.install)
    maker = Person.objects.get(pk=journal_of(trip.row())[-1].by_id)
    found["strike"] = gallery.both(gallery.strike, maker, trip.crew.head)
    trip.move("install")
    found["start rotation"] = gallery.both(gallery.start)
    trip.report(ReportKind.ON_COMING_FACE, trip.faces[1])
    found["show again"] = gallery.both(gallery.again)
    trip.report(ReportKind.DEINSTALL_AT_CASE)
    found["take down"] = gallery.both(gallery.down)
    trip.carry(trip.museum.bench, "deinstall")
    gallery.make_ready(lambda: trip.move("pass_check"))
    trip.move("pass_check")
    registrars = (trip.crew.registrar, make_person(Role.REGISTRAR, name="Otto Lind"))
    found["send home"] = gallery.both(gallery.home, *registrars)
    print(json.dumps(found))  # noqa: T201


if __name__ == "__main__":
    main()
