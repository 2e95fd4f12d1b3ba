"""A filled sheet read back: into the record where nobody wrote since, else asked field by field."""

from collections.abc import Mapping
from datetime import timedelta
from typing import Any

import pytest

from lifecycle.actions.condition.head import Conclusions, save_conclusions
from lifecycle.actions.papers_out import Return
from lifecycle.actions.reading_back.deciding import DIFFERS, Filled
from lifecycle.actions.reading_back.reading import ReadBack, Sheet, read_back
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.papers.printed import plan_of
from lifecycle.papers.sheets.asked import asked_of
from lifecycle.process.stages import Role
from lifecycle.process.words import Grade, ReportKind
from lifecycle.queries.condition.overview import part_of
from lifecycle.queries.papers_out import expected_back, still_out_of
from lifecycle.records.models import (
    ConditionReport,
    CopyWord,
    Print,
    PrintReturn,
    Showing,
    Vocabulary,
)
from tests.builders.condition import make_signed, start_draft, term
from tests.builders.core import AT, make_face, make_museum, make_person, make_word
from tests.builders.printing import on_display, printed

pytestmark = pytest.mark.django_db
SEEN, LATER = AT + timedelta(hours=3), AT + timedelta(days=1)
ON_SHEET = Return(
    written_by_name="Marit Oldacre",
    observed_at=SEEN,
    no_scan_because="The scanner is away.",
)
Answers = Mapping[str, tuple[str, ...]]


def filled(row: Print, answers: Answers) -> list[Filled]:
    """Every question of the sheet, those named answered; a name no sheet has is a mistake here."""
    asked = asked_of(plan_of(row.paper, row.words))
    assert set(answers) <= {one.key for one in asked}
    return [
        Filled(key=one.key, part=one.part, label=one.label, answer=answers.get(one.key, ()))
        for one in asked
    ]


def back(
    row: Print, answers: Answers, *, code: str = "", role: Role = Role.CONSERVATOR, **changes: Any
) -> ReadBack:
    choices = changes.pop("choices", {})
    details = Return(**{**_values(ON_SHEET), **changes})
    return read_back(
        by=make_person(role),
        role=role,
        at=LATER,
        row=row,
        sheet=Sheet(
            code=code or row.code, filled=filled(row, answers), details=details, choices=choices
        ),
    )


def _values(details: Return) -> dict[str, Any]:
    return {name: getattr(details, name) for name in Return.__dataclass_fields__}


def draft_with_f1() -> tuple[ConditionReport, Print]:
    """A draft that lists F1 of a signed report as not looked at, printed to be filled."""
    make_museum()
    for code in ("diffuse", "verso"):
        make_word(Vocabulary.NOT_SEEN, code)
    before = make_signed(at=AT - timedelta(days=30))
    draft = start_draft(before.museum_object, kind=ReportKind.BEFORE_INSTALL, at=AT)
    return draft, printed(draft)


FILLED: Answers = {
    "seen_as": ("framed, glazed",),
    "lights": ("diffuse", "raking"),
    "raking_from": ("9",),
    "not_seen": ("verso",),
    "features.1.F1.tick": ("worse",),
    "features.1.F1.new": ("18 mm now",),
    "features.1.F2.what": ("Stain, brown",),
    "features.1.F2.zone": ("a1",),
    "features.1.F2.size": ("12 x 4,5",),
    "features.1.F2.severity": ("2",),
    "grade": ("poor",),
    "result": ("change seen",),
    "fit_display": ("with limits",),
    "fit_display.write": ("not upright",),
    "next_check_due": ("2027-03-14",),
    "notes": ("The split runs on below the hinge.",),
}


def test_a_filled_report_goes_into_its_draft_with_the_time_on_the_sheet_apart() -> None:
    draft, row = draft_with_f1()
    term("stain")

    done = back(row, FILLED)

    draft.refresh_from_db()
    assert (draft.seen_as, draft.grade, draft.result) == ("framed_glazed", "poor", "change_seen")
    assert (draft.fit_display, draft.fit_limits) == ("with_limits", "not upright")
    assert str(draft.next_check_due) == "2027-03-14"
    f1, f2 = draft.observations.order_by("feature__number")
    assert (f1.state, f1.note) == ("worse", "18 mm now")
    assert (f2.state, f2.term.label, f2.zone, f2.severity) == ("first_record", "stain", "A1", 2)
    assert (str(f2.length_mm), str(f2.width_mm)) == ("12.0", "4.5")
    lights = draft.lights_used.order_by("number").values_list("light", "direction_clock")
    assert list(lights) == [("diffuse", None), ("raking", 9)]
    assert [one.what.label for one in draft.not_seen.all()] == ["verso"]
    assert draft.sections.get().observed == "The split runs on below the hinge."
    assert (done.returned.observed_at, done.returned.entered_at) == (SEEN, LATER)
    assert done.targets == (str(draft),)
    by_key = {line["key"]: line["answer"] for line in done.returned.written}
    assert (by_key["grade"], by_key["stability"]) == ("poor", "")
    assert not still_out_of(row.record_uid).exists()


def test_what_was_written_since_the_printing_is_asked_field_by_field() -> None:
    draft, row = draft_with_f1()
    save_conclusions(
        report=draft,
        conclusions=Conclusions(grade=Grade.GOOD),
        revision=draft.conclusions_revision,
        by=draft.entered_by,
        role=Role.CONSERVATOR,
        at=AT + timedelta(hours=5),
    )
    answers = {"grade": ("poor",), "stability": ("stable",)}

    with pytest.raises(Refused) as refused:
        back(row, answers)
    (reason,) = refused.value.reasons
    assert (reason.field, reason.code) == ("grade", DIFFERS)
    assert "the sheet says “poor”; the record says “good”" in reason.text
    assert not PrintReturn.objects.exists()
    draft.refresh_from_db()
    assert draft.stability == ""

    done = back(row, answers, choices={"grade": "record"})
    draft.refresh_from_db()
    assert (draft.grade, draft.stability) == ("good", "stable")
    stands = {one["key"]: one["stands"] for one in done.returned.taken}
    assert stands == {"grade": "record", "stability": "sheet"}


def test_a_second_sheet_of_one_print_stands_beside_the_first_and_asks() -> None:
    draft, row = draft_with_f1()
    back(row, {"grade": ("poor",)})

    with pytest.raises(Refused) as refused:
        back(row, {"grade": ("fair",)})
    assert {reason.field for reason in refused.value.reasons} == {"first_seen", "grade"}

    back(row, {"grade": ("fair",)}, first_seen=True, choices={"grade": "sheet"})
    draft.refresh_from_db()
    assert draft.grade == "fair"
    answers = [
        next(line["answer"] for line in one.written if line["key"] == "grade")
        for one in row.returns.order_by("nth")
    ]
    assert answers == ["poor", "fair"]


def test_another_objects_sheet_is_named_and_nothing_is_written() -> None:
    draft, row = draft_with_f1()
    other = printed(start_draft(make_face().museum_object))

    with pytest.raises(Refused) as refused:
        back(row, {"grade": ("poor",)}, code=other.code.lower())

    (reason,) = refused.value.reasons
    assert reason.field == "sheet_code"
    assert f"The sheet in your hand is {other.print_no}" in reason.text
    assert draft.museum_object.object_number in reason.text
    assert not PrintReturn.objects.exists()
    draft.refresh_from_db()
    assert draft.grade == ""


@pytest.mark.parametrize(
    ("answers", "field"),
    [
        ({"grade": ("good", "poor")}, "grade"),
        ({"lights": ("raking",)}, "lights"),
        ({"lights": ("raking",), "raking_from": ("left",)}, "raking_from"),
        ({"next_check_due": ("in spring",)}, "next_check_due"),
        ({"features.1.F2.what": ("blotch",), "features.1.F2.zone": ("A1",)}, "features.1.F2.what"),
        ({"features.1.F2.what": ("tear",), "features.1.F2.zone": ("D4",)}, "features.1.F2.zone"),
        (
            {"features.1.F2.what": ("tear",), "features.1.F2.severity": ("²",)},
            "features.1.F2.severity",
        ),
        (
            {"features.1.F2.what": ("tear",), "features.1.F2.severity": ("4",)},
            "features.1.F2.severity",
        ),
    ],
)
def test_a_line_that_cannot_be_read_is_refused_beside_it_and_nothing_is_written(
    answers: Answers, field: str
) -> None:
    draft, row = draft_with_f1()
    term("tear")

    with pytest.raises(Refused) as refused:
        back(row, {**answers, "stability": ("stable",)})

    assert field in {reason.field for reason in refused.value.reasons}
    assert not PrintReturn.objects.exists()
    draft.refresh_from_db()
    assert draft.stability == ""


def test_a_sheet_of_a_report_signed_meanwhile_is_kept_and_changes_nothing() -> None:
    report = make_signed(findings=0)
    row = printed(report, copy_word=CopyWord.WORKING)
    assert report.signed

    done = back(row, {})

    assert done.returned.taken[0]["stands"] == "record"
    assert "correct it by a new version" in done.returned.taken[0]["record"]


def test_who_may_not_examine_does_not_read_a_report_back() -> None:
    _, row = draft_with_f1()
    with pytest.raises(NotAllowed):
        back(row, {}, role=Role.REGISTRAR)


def deinstall_print() -> tuple[Showing, Print]:
    """A form for an object on display with one known feature on the face on show."""
    make_museum()
    make_word(Vocabulary.REPORT_REASON, "taken-down")
    showing = on_display()
    face = showing.faces_wanted.get().face
    make_signed(showing.museum_object, at=AT - timedelta(days=40), faces=[face])
    return showing, printed(showing)


def test_part_a_and_part_b_of_one_form_begin_their_two_reports() -> None:
    showing, row = deinstall_print()

    done = back(
        row,
        {
            "a_found": ("slipped",),
            "a_found.write": ("2 mm to the left",),
            "a_pests": ("no dust", "insects"),
            "a_pests.write": ("3",),
            "a_glance.F1.tick": ("changed?",),
            "b_lights": ("diffuse",),
            "b_features.1.F1.tick": ("worse",),
            "b_result": ("change seen",),
            "b_next_step": ("quarantine",),
        },
    )

    part_a = part_of(showing, ReportKind.DEINSTALL_AT_CASE)
    part_b = part_of(showing, ReportKind.DEINSTALL_AT_BENCH)
    assert part_a is not None
    assert part_b is not None
    assert done.targets == (str(part_a), str(part_b))
    found = part_a.as_found
    assert (found.as_placed, found.as_placed_note) == ("slipped", "2 mm to the left")
    assert (found.dust, found.insects) == ("no dust", 3)
    assert part_a.examined_at == part_b.examined_at == SEEN
    glance = part_a.observations.get()
    assert (glance.state, glance.note) == ("not_looked_at", f"changed? ({row})")
    assert part_b.observations.get().state == "worse"
    assert (part_b.result, part_b.bench_check.next_step) == ("change_seen", "quarantine")
    assert expected_back([showing.pk]) == {}


def test_a_technician_reads_back_part_a_and_is_told_that_part_b_is_not_theirs() -> None:
    _, row = deinstall_print()

    with pytest.raises(Refused) as refused:
        back(row, {"b_result": ("no change seen",)}, role=Role.TECHNICIAN)
    assert "Part B is not read back by a technician" in str(refused.value)

    assert back(row, {"a_found": ("as placed",)}, role=Role.TECHNICIAN).targets
