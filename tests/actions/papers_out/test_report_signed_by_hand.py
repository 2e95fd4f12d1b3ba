"""A condition report printed whole and signed by hand: read back, the hands on it count."""

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from lifecycle.actions.condition.deinstall import record_as_found
from lifecycle.actions.condition.head import save_conclusions
from lifecycle.actions.condition.sections import take_section
from lifecycle.actions.papers_out import Return
from lifecycle.actions.reading_back.reading import ReadBack, Sheet, read_back
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.papers.printed import plan_of, words_of
from lifecycle.papers.sheets.asked import asked_of
from lifecycle.papers.stamped import faults_of_print
from lifecycle.papers.standing import moved_on
from lifecycle.papers.words.condition_report import ConditionReportWords
from lifecycle.process.stages import Role
from lifecycle.process.words import Grade, ReportKind
from lifecycle.queries.papers_out import still_out_of
from lifecycle.queries.signed_text.registry import faults_of, kind_of, signatures_of
from lifecycle.records.models import ConditionReport, CopyWord, Person, Print, PrintReturn
from lifecycle.records.models.condition.words import AsPlaced, SectionName
from tests.actions.papers_out.test_reading_back import filled
from tests.builders.condition import (
    conclusions_with,
    fill_draft,
    make_picture,
    picture_bytes,
    say_none_known,
    sign_as_author,
    start_draft,
)
from tests.builders.core import AT, make_face, make_museum, make_person
from tests.builders.printing import on_display, printed

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)
PRINTED, SIGNED, BACK = AT + 4 * HOUR, AT + 5 * HOUR, AT + timedelta(days=1)
Answers = Mapping[str, tuple[str, ...]]
BY_MARIT: Answers = {
    "signed.0.name": ("Marit Oldacre",),
    "signed.0.when": ("2026-06-02 15:05",),
}


@pytest.fixture
def marit() -> Person:
    make_museum()
    return make_person(Role.CONSERVATOR, name="Marit Oldacre")


@pytest.fixture
def draft(marit: Person) -> ConditionReport:
    started = start_draft(make_face().museum_object, by=marit)
    return fill_draft(started, by=marit, nothing_to_note=True)


def back(row: Print, answers: Answers, **changes: Any) -> ReadBack:
    role = changes.pop("role", Role.CONSERVATOR)
    reader = changes.pop("by", None) or make_person(role, name="Piers Hallam")
    values: dict[str, Any] = {
        "written_by_name": "Marit Oldacre",
        "observed_at": SIGNED,
        "scan": picture_bytes(),
        "scan_name": "sheet.png",
    } | changes
    sheet = Sheet(code=row.code, filled=filled(row, answers), details=Return(**values))
    return read_back(by=reader, role=role, at=BACK, row=row, sheet=sheet)


def refused(row: Print, answers: Answers, **changes: Any) -> list[tuple[str, str]]:
    with pytest.raises(Refused) as told:
        back(row, answers, **changes)
    assert not PrintReturn.objects.exists()
    return [(reason.field, reason.text) for reason in told.value.reasons]


def test_a_whole_report_signed_by_hand_counts_as_signed_with_the_sheet_as_its_evidence(
    draft: ConditionReport, marit: Person
) -> None:
    reader = make_person(Role.CONSERVATOR, name="Una Brill")
    row = printed(draft, at=PRINTED)
    answers = {**BY_MARIT, "signed.1.name": ("Una Brill",)}

    made = back(row, answers, role=Role.REGISTRAR, observed_at=SIGNED + HOUR)

    report = ConditionReport.objects.get(pk=draft.pk)
    signature, second = signatures_of(report)
    assert (signature.person, signature.capacity) == (marit, "author")
    assert (second.person, second.capacity) == (reader, "second_reader")
    assert signature.at == datetime(2026, 6, 2, 14, 5, tzinfo=UTC)  # 15:05 on the museum's clock
    assert signature.scan == made.returned.scan is not None
    assert (signature.note, str(signature.read_back_by)) == (row.print_no, "Piers Hallam")
    words = words_of(row.paper, row.words)
    assert isinstance(words, ConditionReportWords)
    assert report.digest == words.to_sign
    assert made.targets[0] == f"{report}, signed by Marit Oldacre"
    assert list(faults_of(report, kind_of(report))) == []
    assert list(faults_of_print(row)) == []
    assert moved_on(row) is None
    assert not still_out_of(report.uid).exists()


def test_it_is_printed_as_it_stands_and_a_draft_that_lacks_something_as_a_form(
    draft: ConditionReport, marit: Person
) -> None:
    whole = printed(draft, at=PRINTED)
    keys = {one.key for one in asked_of(plan_of(whole.paper, whole.words))}
    assert {key for key in keys if not key.startswith("running")} == {
        f"signed.{line}.{what}" for line in (0, 1) for what in ("name", "when")
    }
    words = words_of(whole.paper, whole.words)
    assert isinstance(words, ConditionReportWords)
    assert dict(words.written_so_far)["Grade"] == Grade.FAIR.with_meaning
    lacking = start_draft(make_face().museum_object, by=marit)
    for form in (printed(lacking), printed(draft, copy_word=CopyWord.WORKING)):
        asked = {one.key for one in asked_of(plan_of(form.paper, form.words))}
        assert "grade" in asked
        assert "signed.0.name" not in asked


def test_a_report_changed_since_the_printing_is_not_what_was_signed(
    draft: ConditionReport, marit: Person
) -> None:
    row = printed(draft, at=PRINTED)
    save_grade(draft, Grade.POOR, marit)

    (found,) = refused(row, BY_MARIT)

    assert found[0] == "signed.0.name"
    assert "was changed after" in found[1]
    assert "(written so far, " in found[1]
    back(row, {})
    assert not ConditionReport.objects.get(pk=draft.pk).signed


def save_grade(report: ConditionReport, grade: Grade, by: Person) -> None:
    from_now = conclusions_with(report, grade=grade)
    save_conclusions(
        report=report, conclusions=from_now, revision=report.conclusions_revision,
        by=by, role=Role.CONSERVATOR, at=PRINTED + HOUR,
    )  # fmt: skip


def test_what_is_lacking_by_now_is_said_beside_the_hand(draft: ConditionReport) -> None:
    row = printed(draft, at=PRINTED)
    other = make_person(Role.CONSERVATOR, name="Una Brill")
    take_section(
        report=draft, name=SectionName.SUPPORT, by=other, role=Role.CONSERVATOR, at=PRINTED + HOUR
    )
    assert any("Una Brill has the section" in text for _, text in refused(row, BY_MARIT))


NOT_COUNTED: list[tuple[Answers, dict[str, Any], str, str]] = [
    (BY_MARIT, {"scan": None, "no_scan_because": "away"}, "scan", "Attach the scan"),
    ({"signed.0.name": ("Una Brill",)}, {}, "signed.0.name", "This line is for Marit Oldacre"),
    ({"signed.1.name": ("Una Brill",)}, {}, "signed.1.name", "not signed by its author yet"),
    ({"signed.0.name": ("Wen Castellane",)}, {}, "signed.0.name", "has no role in which"),
    (
        {"signed.0.name": ("Marit Oldacre",), "signed.0.when": ("2020-03-02 14:05",)},
        {},
        "signed.0.when",
        "was printed",
    ),
]


def test_a_hand_that_does_not_count_is_said_beside_its_line(
    draft: ConditionReport, monkeypatch: pytest.MonkeyPatch
) -> None:
    make_person(Role.CURATOR, name="Wen Castellane")
    make_person(Role.CONSERVATOR, name="Una Brill")
    row = printed(draft, at=PRINTED)
    for answers, changes, field, text in NOT_COUNTED:
        found = refused(row, answers, **changes)
        assert [one for one in found if one[0] == field and text in one[1]], found
    # A print can't be changed in the database, so its words are damaged as they are read.
    monkeypatch.setattr("lifecycle.papers.stamped.plain_text", lambda words: "other words")
    ((_, text),) = refused(row, BY_MARIT)
    assert "no longer give the digest" in text


def test_nobody_reads_their_own_signature_back_nor_a_registrar_a_form_of_findings(
    draft: ConditionReport, marit: Person
) -> None:
    row = printed(draft, at=PRINTED)
    ((_, text),) = refused(row, BY_MARIT, by=marit)
    assert "somebody else has to read it back" in text
    form = printed(draft, copy_word=CopyWord.WORKING, at=PRINTED)
    with pytest.raises(NotAllowed):
        back(form, {}, role=Role.REGISTRAR)


def test_whoever_signed_on_screen_meanwhile_is_not_signed_twice(
    draft: ConditionReport, marit: Person
) -> None:
    row = printed(draft, at=PRINTED)
    sign_as_author(draft, by=marit, at=PRINTED + HOUR)
    assert any("as its author already" in text for _, text in refused(row, BY_MARIT))


def test_part_a_is_printed_with_what_was_found_and_countersigned_on_the_sheet(
    marit: Person,
) -> None:
    showing = on_display()
    face = showing.museum_object.faces.get()
    tomas = make_person(Role.TECHNICIAN, name="Tomas Wray")
    who: dict[str, Any] = {"by": tomas, "role": Role.TECHNICIAN, "at": AT}
    report = start_draft(
        showing.museum_object,
        kind=ReportKind.DEINSTALL_AT_CASE,
        showing=showing,
        faces=[face],
        **who,
    )
    record_as_found(
        report=report, as_placed=AsPlaced.SLIPPED, as_placed_note="2 mm to the left",
        dust="a little dust", insects=1, pests_note="", picture=make_picture(face), **who,
    )  # fmt: skip
    say_none_known(report, by=marit)
    report.refresh_from_db()
    row = printed(report, at=PRINTED)
    words = words_of(row.paper, row.words)
    assert isinstance(words, ConditionReportWords)
    said = dict(words.written_so_far)
    assert "2 mm to the left" in said["As found"]
    assert said["Dust and insects"] == "a little dust; insects or trap count 1"
    back(row, {"signed.0.name": ("Tomas Wray",), "signed.1.name": ("Marit Oldacre",)})
    assert {one.capacity for one in signatures_of(report)} == {"author", "countersigned"}
