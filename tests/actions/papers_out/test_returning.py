"""What became of a print: back, lost or void; several at once; a second return beside the first."""

import io
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from PIL import Image

from lifecycle.actions.papers_out import Return, mark_back, write_off
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.process.stages import Role
from lifecycle.queries.papers_out import expected_back
from lifecycle.records.models import Document, Print, PrintReturn, PrintWriteOff, WrittenOff
from tests.builders.core import AT, make_person
from tests.builders.printing import make_movement, on_display, printed

pytestmark = pytest.mark.django_db
LATER = AT + timedelta(days=1)
SHEET = Return(
    written_by_name="Piers Hallam",
    observed_at=AT + timedelta(hours=3),
    no_scan_because="The scanner is away.",
)


def scan() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (40, 60), "white").save(out, "PNG")
    return out.getvalue()


def back(*prints: Print, **changes: Any) -> list[PrintReturn]:
    return mark_back(
        by=make_person(Role.REGISTRAR),
        role=Role.REGISTRAR,
        at=LATER,
        prints=prints,
        details=replace(SHEET, **changes),
    )


def off(
    *prints: Print, state: WrittenOff = WrittenOff.LOST, reason: str = "Fell into the rain."
) -> list[PrintWriteOff]:
    return write_off(
        by=make_person(Role.REGISTRAR),
        role=Role.REGISTRAR,
        at=LATER,
        prints=prints,
        state=state,
        reason=reason,
    )


def test_the_time_on_the_sheet_is_observed_and_the_typing_entered() -> None:
    """Observed yesterday, entered today, scan attached, the print closed."""
    showing = on_display()
    row = printed(showing)

    (returned,) = back(row, scan=scan(), scan_name="sheet.png", no_scan_because="")

    assert returned.observed_at == AT + timedelta(hours=3)
    assert returned.entered_at == LATER
    assert returned.written_by_name == "Piers Hallam"
    assert returned.scan == Document.objects.get()
    assert expected_back([showing.pk]) == {}


def test_several_come_back_at_once_with_one_scan() -> None:
    rows = [printed(make_movement()) for _ in range(3)]

    returned = back(*rows, scan=scan(), scan_name="three.png", no_scan_because="")

    assert [one.print.print_no for one in returned] == ["PR-00001", "PR-00002", "PR-00003"]
    assert len({one.scan_id for one in returned}) == 1


def test_a_second_return_needs_a_look_at_the_first_and_stands_beside_it() -> None:
    """F8, duplicate paper forms: never silently merged."""
    row = printed(make_movement())
    back(row)

    with pytest.raises(Refused) as refused:
        back(row, written_by_name="Bram Oduya")
    (reason,) = refused.value.reasons
    assert reason.field == "first_seen"
    assert "written by Piers Hallam" in reason.text

    back(row, written_by_name="Bram Oduya", first_seen=True)
    rows = row.returns.order_by("nth").values_list("nth", "written_by_name")
    assert list(rows) == [(1, "Piers Hallam"), (2, "Bram Oduya")]


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"written_by_name": "  "}, "written_by_name"),
        ({"no_scan_because": ""}, "scan"),
        ({"scan": scan()}, "no_scan_because"),
        ({"observed_at": LATER + timedelta(minutes=1)}, "observed_at"),
        ({"observed_at": AT - timedelta(days=1)}, "observed_at"),
        ({"scan": b"not a picture", "no_scan_because": ""}, "scan"),
        ({"scan": b"", "no_scan_because": ""}, "scan"),
    ],
)
def test_bad_input_is_refused_at_its_field_and_nothing_is_written(
    changes: dict[str, Any], field: str
) -> None:
    row = printed(make_movement())

    with pytest.raises(Refused) as refused:
        back(row, **changes)

    assert [reason.field for reason in refused.value.reasons] == [field]
    assert not PrintReturn.objects.exists()
    assert not Document.objects.exists()


def test_no_print_chosen_is_refused() -> None:
    with pytest.raises(Refused, match="Choose at least one print"):
        back()
    with pytest.raises(Refused, match="Choose at least one print"):
        off()


@pytest.mark.parametrize("state", list(WrittenOff))
def test_several_are_written_off_with_one_reason(state: WrittenOff) -> None:
    showing = on_display()
    rows = [printed(showing), printed(showing)]

    off(*rows, state=state)

    assert PrintWriteOff.objects.filter(reason="Fell into the rain.", state=state).count() == 2
    assert expected_back([showing.pk]) == {}


def test_a_print_that_is_back_or_written_off_is_not_written_off_again() -> None:
    returned, gone = printed(make_movement()), printed(make_movement())
    back(returned)
    off(gone)

    with pytest.raises(Refused, match="came back: it is not lost"):
        off(returned)
    with pytest.raises(Refused, match="marked as lost already: Fell into the rain"):
        off(gone)
    with pytest.raises(Refused, match="Say why"):
        off(printed(make_movement()), reason=" ")


def test_one_bad_print_among_several_writes_none_off() -> None:
    good, returned = printed(make_movement()), printed(make_movement())
    back(returned)

    with pytest.raises(Refused):
        off(good, returned)

    assert not PrintWriteOff.objects.exists()


def test_a_lost_print_may_still_come_back() -> None:
    row = printed(make_movement())
    off(row)

    back(row)

    assert row.returns.count() == 1


@pytest.mark.parametrize("role", [Role.ATTENDANT, Role.CURATOR, Role.STEWARD, Role.LENDER])
def test_who_handles_nothing_reads_nothing_back(role: Role) -> None:
    row = printed(make_movement())

    with pytest.raises(NotAllowed):
        mark_back(by=make_person(role), role=role, at=LATER, prints=[row], details=SHEET)
    with pytest.raises(NotAllowed):
        write_off(
            by=make_person(role),
            role=role,
            at=LATER,
            prints=[row],
            state=WrittenOff.VOID,
            reason="Wrong.",
        )
