"""Plans of galleries as pages show them, with the point that is read next."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe

from lifecycle.pages.pictures import finer_of, picture_address
from lifecycle.papers.drawing.lettered_plan import plan_svg
from lifecycle.papers.filling.reading_sheet import plan_words
from lifecycle.queries.plans import PlanOnRecord, Spot
from lifecycle.records.models import PlacePlan, ReadingPoint


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownPlan:
    """A plan drawn for a page."""

    plan: PlacePlan
    drawing: SafeString
    spots: Sequence[Spot]
    caption: str


def shown_plan(
    plan: PlanOnRecord,
    points: Iterable[ReadingPoint] | None = None,
    *,
    next_point: ReadingPoint | None = None,
    around: ReadingPoint | None = None,
) -> ShownPlan:
    """Draw a plan with all its points, or with some of them; ``around`` shows a part of it."""
    spots = plan.spots if points is None else plan.of(points)
    words, row = plan_words(plan, spots), plan.plan
    labels = ", ".join(spot.label for spot in words.spots) or "none yet"
    drawing = plan_svg(
        href=picture_address(row.picture),
        width=row.picture.width,
        height=row.picture.height,
        spots=words.spots,
        title=f"Plan of {words.name} with points {labels}",
        next_key="" if next_point is None else str(next_point.uid),
        around="" if around is None else str(around.uid),
        finer=None if around is not None else finer_of(row.picture),
    )
    return ShownPlan(
        plan=row,
        drawing=mark_safe(drawing),  # noqa: S308 - every text in it is escaped by plan_svg
        spots=spots,
        caption=words.caption,
    )
