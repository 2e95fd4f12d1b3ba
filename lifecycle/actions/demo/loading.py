"""Load the demo museum relative to the day of loading; everything or nothing."""

from datetime import date, datetime, time, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.db import transaction

from lifecycle.actions.demo.cast import SINCE, Cast, set_up_cast
from lifecycle.actions.demo.collection import set_up_collection, set_up_exhibitions
from lifecycle.actions.demo.galleries import draw_galleries
from lifecycle.actions.demo.lending import lend
from lifecycle.actions.demo.treated import cloth_is_tested
from lifecycle.actions.demo.treating import habits, stock
from lifecycle.actions.demo.trips import Trip, walk
from lifecycle.actions.light import enter_past_light
from lifecycle.actions.starting import start_museum
from lifecycle.exchange.demo_data import read_demo
from lifecycle.records.models import Face


@transaction.atomic
def load_demo(*, on: date) -> None:
    """Write Hollinshire County Museum as it stands on ``on``.

    The exhibition is half-way through its run, one turn is due in days and one is late, a request
    waits for its answer, and an older showing has filled part of an account.
    """
    data = read_demo(on)
    zone = ZoneInfo(data.people["museum"]["zone"])
    at = datetime.combine(SINCE, time(9), tzinfo=zone)
    start_museum(
        name=data.people["museum"]["name"],
        zone=data.people["museum"]["zone"],
        is_demo=True,
        at=at,
    )
    cast = Cast(data=data, at=at, zone=zone)
    set_up_cast(cast)
    set_up_collection(cast)
    draw_galleries(cast)
    exhibitions = set_up_exhibitions(cast)
    stock(cast, at + timedelta(days=1))
    habits(cast, at + timedelta(days=1))
    cloth_is_tested(cast, on)
    for row in data.exhibitions["past_light"]:
        entered = cast.moment(row["until"] + timedelta(days=30), 10)
        enter_past_light(
            face=Face.objects.get(museum_object__object_number=row["object"], label=row["face"]),
            from_at=cast.moment(row["from"], 0),
            until_at=cast.moment(row["until"], 23),
            low=Decimal(row["low"]),
            likely=Decimal(row["likely"]),
            high=Decimal(row["high"]),
            basis=row["basis"],
            source=row["source"],
            **cast.acting("marit", entered),
        )
    loans = lend(cast, exhibitions)
    for slot, row in enumerate(data.exhibitions["trips"]):
        walk(
            Trip(
                cast=cast,
                row=row,
                exhibition=exhibitions[row["exhibition"]],
                loan=loans.get(row["object"]),
                today=on,
                slot=slot,
            )
        )
