"""The demo's gallery plan: its reading points put on it, each with a photograph."""

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from lifecycle.actions.demo.cast import Cast
from lifecycle.actions.places import photograph_reading_point
from lifecycle.actions.plans import Percent, keep_plan, put_points_on_plan
from lifecycle.exchange.demo_plans import gallery_plan, point_photo, positions_in
from lifecycle.records.models import ReadingPoint


def draw_galleries(cast: Cast) -> None:
    """Keep the plan of every gallery that has one in the fixtures."""
    for row in _rooms(cast.data.places["places"]):
        _draw(cast, row, cast.places[row["key"]].name)


def _rooms(rows: list[Any]) -> list[Any]:
    found = [row for row in rows if "plan" in row]
    return found + [room for row in rows for room in _rooms(row.get("children", []))]


def _draw(cast: Cast, row: Any, name: str) -> None:
    drawn_on: date = row["plan"]["drawn_on"]
    at: datetime = cast.moment(drawn_on, 15)
    acting = cast.acting("marit", at)
    cases = {case["name"]: case for case in row["children"]}
    plan = keep_plan(
        place=cast.places[row["key"]],
        picture=gallery_plan(
            {key: case["drawn"] for key, case in cases.items()},
            {key: len(case["positions"]) for key, case in cases.items()},
        ),
        picture_name=f"{name} plan.png",
        drawn_by=row["plan"]["drawn_by"],
        drawn_on=drawn_on,
        **acting,
    )
    points = {
        (point.place_id, point.letter): point
        for point in ReadingPoint.objects.filter(retired_on=None).order_by("pk")
    }
    spots: dict[int, Percent | None] = {}
    for key, case in cases.items():
        lies = positions_in(case["drawn"], len(case["positions"]))
        for number, letter in enumerate(case["positions"]):
            place = cast.places[f"{key}/{letter}"]
            point = points[place.pk, letter.upper()]
            spots[point.pk] = (_percent(lies[number][0]), _percent(lies[number][1]))
            photograph_reading_point(
                point=point,
                photo=point_photo(place.name, (number + 0.5) / len(case["positions"])),
                photo_name=f"{place.name} point {point.letter}.jpg",
                **acting,
            )
    put_points_on_plan(plan=plan, spots=spots, **acting)


def _percent(value: float) -> Decimal:
    return Decimal(str(round(value, 2)))
