"""What a showing's page offers of condition, by its stage."""

import pytest

from lifecycle.process.stages import Stage
from lifecycle.process.words import ReportKind
from lifecycle.queries.condition.overview import OnShowing, ReportLine
from lifecycle.records.models import Showing
from lifecycle.records.models.condition import ConditionReport


@pytest.mark.parametrize(
    ("stage", "near"),
    [
        (Stage.READY, (False, False)),
        (Stage.ON_DISPLAY, (True, False)),
        (Stage.DEINSTALL_CHECK, (True, True)),
        (Stage.REHOUSING, (False, False)),
    ],
)
def test_parts_a_and_b_are_offered_when_there_is_something_to_find(
    stage: Stage, near: tuple[bool, bool]
) -> None:
    one = OnShowing(showing=Showing(stage=stage), reports=())
    assert (one.part_a_is_near, one.part_b_is_near) == near


def test_a_part_that_was_begun_stays_at_hand() -> None:
    kinds = (ReportKind.DEINSTALL_AT_CASE, ReportKind.DEINSTALL_AT_BENCH)
    lines = tuple(ReportLine(report=ConditionReport(kind=kind)) for kind in kinds)
    one = OnShowing(showing=Showing(stage=Stage.REHOUSING), reports=lines)
    assert one.part_a_is_near
    assert one.part_b_is_near
    over = OnShowing(showing=Showing(stage=Stage.RETURNED), reports=lines)
    assert not over.part_a_is_near
    assert not over.part_b_is_near
