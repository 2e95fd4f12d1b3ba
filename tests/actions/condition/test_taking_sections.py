"""A section that somebody has open is told to the others, and signing waits for it."""

from typing import Any

import pytest

from lifecycle.actions.case_openings import Opening, record_opening
from lifecycle.actions.condition.completeness import reasons_against_signing
from lifecycle.actions.condition.sections import give_back_section, save_section, take_section
from lifecycle.actions.condition.unsigned import note_left_unsigned
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.process.stages import Role
from lifecycle.process.words import PlaceKind, SignCapacity
from lifecycle.queries.signed_text.registry import text_of
from lifecycle.records.models import Person, WhyOpened
from lifecycle.records.models.condition.words import SectionName
from tests.builders.condition import fill_draft, make_signed, start_draft
from tests.builders.core import AT, make_person, make_place

pytestmark = pytest.mark.django_db


@pytest.fixture
def marit() -> Person:
    return make_person(Role.CONSERVATOR, name="Marit Oldacre")


@pytest.fixture
def piers() -> Person:
    return make_person(Role.CONSERVATOR, name="Piers Hallam")


def doing(by: Person, role: Role = Role.CONSERVATOR) -> dict[str, Any]:
    return {"by": by, "role": role, "at": AT}


def test_signing_waits_for_a_section_that_somebody_else_has(marit: Person, piers: Person) -> None:
    report = start_draft(by=marit)
    fill_draft(report, by=marit, nothing_to_note=True)

    def stands(by: Person) -> list[str]:
        return [one.text for one in reasons_against_signing(report, at=AT, by=by)]

    binding: dict[str, Any] = {"report": report, "name": SectionName.BINDING}
    assert stands(marit) == []
    take_section(**binding, **doing(piers))
    take_section(**binding, **doing(marit))  # whoever has it keeps it
    assert stands(piers) == []
    assert stands(marit) == [
        "Piers Hallam has the section “Binding and sewing” open: wait until it is saved, "
        "or give it back for them."
    ]
    assert "Section: Binding" not in text_of(report)
    give_back_section(**binding, **doing(marit))
    assert stands(marit) == []
    take_section(**binding, **doing(piers))
    save_section(**binding, observed="Joint weak.", interpretation="", revision=0, **doing(piers))
    assert stands(marit) == []
    assert "Section: Binding and sewing" in text_of(report)
    taken = report.sections.get(name="binding").history.order_by("history_id")
    assert [str(row.taken_by) for row in taken] == [
        "Piers Hallam", "None", "Piers Hallam", "None"
    ]  # fmt: skip


def test_nobody_waits_for_who_has_signed_or_never_could(marit: Person, piers: Person) -> None:
    report = make_signed(by=marit)
    left = {"report": report, "person": piers, "left_at": AT, "because": "train"}
    author = {**left, "person": marit, "capacity": SignCapacity.AUTHOR}
    with pytest.raises(Refused) as refused:
        note_left_unsigned(**author, **doing(marit))  # type: ignore[arg-type]
    assert [reason.field for reason in refused.value.reasons] == ["capacity", "person"]
    courier = {**left, "capacity": SignCapacity.COURIER}
    with pytest.raises(NotAllowed):
        note_left_unsigned(**courier, **doing(make_person(Role.ATTENDANT), Role.ATTENDANT))  # type: ignore[arg-type]
    note_left_unsigned(**courier, **doing(marit))  # type: ignore[arg-type]
    with pytest.raises(Refused, match="on record already"):
        note_left_unsigned(**courier, **doing(marit))  # type: ignore[arg-type]
    with pytest.raises(Refused, match="not signed by its author yet"):
        note_left_unsigned(**{**courier, "report": start_draft(by=marit)}, **doing(marit))  # type: ignore[arg-type]


def test_an_opening_is_kept_of_a_case_and_of_the_past(marit: Person) -> None:
    case = make_place(kind=PlaceKind.CASE)
    opening = Opening(why=WhyOpened.CLEANED, opened_at=AT, opened_by=marit, open_minutes=12)
    kept = record_opening(place=case, opening=opening, **doing(marit))
    assert (kept.place, kept.open_minutes) == (case, 12)
    for wrong, place, field in (
        (Opening(why=WhyOpened.OTHER, opened_at=AT, opened_by=marit), case, "note"),
        (opening, make_place(kind=PlaceKind.SHELF), ""),
    ):
        with pytest.raises(Refused) as refused:
            record_opening(place=place, opening=wrong, **doing(marit))
        assert [reason.field for reason in refused.value.reasons] == [field]
