"""What is known before an object is taken down: part A, the last day, its companions on show."""

from dataclasses import dataclass
from datetime import date, datetime

from lifecycle.process.words import ReportKind
from lifecycle.queries.display.companions import companions_on_show
from lifecycle.queries.rights import museum_day
from lifecycle.records.models import (
    AsFound,
    ConditionReport,
    DisplayPeriod,
    Showing,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class BeforeTakeDown:
    """What the page says before the form, and what part A has already written."""

    part_a: ConditionReport | None
    found: str
    shown: DisplayPeriod | None
    last_day: date
    early: bool
    companions: tuple[str, ...]


def before_take_down(showing: Showing, at: datetime) -> BeforeTakeDown:
    """Read part A, the open period and the companions that are on show, in five queries."""
    part_a = (
        ConditionReport.objects.filter(
            showing=showing, kind=ReportKind.DEINSTALL_AT_CASE.value, struck_at=None
        )
        .order_by("-examined_at", "-pk")
        .first()
    )
    found = AsFound.objects.filter(report=part_a).first() if part_a else None
    return BeforeTakeDown(
        part_a=part_a,
        found=str(found.as_placed) if found else "",
        shown=DisplayPeriod.objects.filter(showing=showing, closed_at=None, struck_at=None)
        .select_related("face__thumbnail", "place")
        .first(),
        last_day=showing.show_to,
        early=museum_day(at) < showing.show_to,
        companions=tuple(
            f"{row.museum_object.object_number} in {row.place.name}"
            for row in companions_on_show(showing.museum_object_id)
        ),
    )
