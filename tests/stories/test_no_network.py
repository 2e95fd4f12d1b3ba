"""No network in the store, the report filled in pencil and typed back."""

import hashlib
from collections.abc import Mapping
from datetime import timedelta
from typing import Any

import pytest

from lifecycle.actions.condition.head import Conclusions, save_conclusions
from lifecycle.actions.papers_out import Return
from lifecycle.actions.reading_back.deciding import DIFFERS, Filled
from lifecycle.actions.reading_back.reading import Sheet, read_back
from lifecycle.actions.refusals import Refused
from lifecycle.papers.printed import plan_of
from lifecycle.papers.sheets.asked import asked_of
from lifecycle.papers.stamped import stamped_text
from lifecycle.process.stages import Role
from lifecycle.process.words import Grade, ReportKind
from lifecycle.queries.papers_out import still_out_of
from lifecycle.records.models import ConditionReport, Person, Print, PrintReturn
from tests.builders.condition import make_signed, picture_bytes, start_draft
from tests.builders.core import AT, make_museum, make_person
from tests.builders.printing import printed

pytestmark = pytest.mark.django_db
IN_THE_STORE, NEXT_DAY = AT + timedelta(hours=3), AT + timedelta(days=1)
IN_PENCIL = {"grade": ("poor",), "notes": ("A spar has worked loose at the left.",)}


@pytest.fixture
def piers() -> Person:
    make_museum()
    return make_person(Role.CONSERVATOR)


@pytest.fixture
def kite(piers: Person) -> ConditionReport:
    """A draft about the kite, which was described a month before."""
    before = make_signed(at=AT - timedelta(days=30))
    return start_draft(before.museum_object, kind=ReportKind.BEFORE_INSTALL, at=AT)


def conclude(report: ConditionReport, piers: Person, grade: Grade, hours: int) -> None:
    report.refresh_from_db()
    save_conclusions(
        report=report,
        conclusions=Conclusions(grade=grade),
        revision=report.conclusions_revision,
        by=piers,
        role=Role.CONSERVATOR,
        at=AT + timedelta(hours=hours),
    )


def type_back(
    row: Print, piers: Person, choices: Mapping[str, str] | None = None, **changes: Any
) -> PrintReturn:
    """The sheet in the order of the paper; what was left empty stays empty."""
    lines = [
        Filled(key=one.key, part=one.part, label=one.label, answer=IN_PENCIL.get(one.key, ()))
        for one in asked_of(plan_of(row.paper, row.words))
    ]
    assert set(IN_PENCIL) <= {line.key for line in lines}
    details = Return(
        written_by_name=piers.full_name,
        written_by=piers,
        observed_at=IN_THE_STORE,
        scan=picture_bytes(),
        scan_name="kite.jpg",
    )
    return read_back(
        by=piers,
        role=Role.CONSERVATOR,
        at=NEXT_DAY,
        row=row,
        sheet=Sheet(code=row.code, filled=lines, details=details, choices=choices or {}),
    ).returned


def test_typed_back_next_day_with_its_times_digest_and_scan_and_closed(
    kite: ConditionReport, piers: Person
) -> None:
    row = printed(kite)
    assert still_out_of(row.record_uid).exists()

    back = type_back(row, piers)

    assert (back.observed_at, back.entered_at) == (IN_THE_STORE, NEXT_DAY)
    assert back.written_by == piers
    assert hashlib.sha256(stamped_text(row).encode()).hexdigest() == row.digest
    assert back.scan is not None
    assert not still_out_of(row.record_uid).exists()
    kite.refresh_from_db()
    assert kite.grade == Grade.POOR
    assert kite.sections.get().observed == IN_PENCIL["notes"][0]


def test_what_was_written_meanwhile_is_shown_where_it_differs_and_asked(
    kite: ConditionReport, piers: Person
) -> None:
    carried = printed(kite)
    conclude(kite, piers, Grade.FAIR, hours=5)

    with pytest.raises(Refused) as refused:
        type_back(carried, piers)
    (reason,) = refused.value.reasons
    assert (reason.field, reason.code) == ("grade", DIFFERS)
    assert "the sheet says “poor”; the record says “fair”" in reason.text
    assert not PrintReturn.objects.exists()

    type_back(carried, piers, choices={"grade": "sheet"})
    kite.refresh_from_db()
    assert kite.grade == Grade.POOR
