"""A treatment report signed on paper: read back, its signatures count, with the sheet to show."""

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from lifecycle.actions.papers_out import Return
from lifecycle.actions.reading_back.reading import ReadBack, Sheet, read_back
from lifecycle.actions.refusals import Refused
from lifecycle.actions.treatment import co_sign, log_step
from lifecycle.papers.printed import words_of
from lifecycle.papers.stamped import faults_of_print
from lifecycle.papers.words.treatment_report import TreatmentReportWords
from lifecycle.process.stages import Role
from lifecycle.queries.papers_out import still_out_of
from lifecycle.queries.signed_text.registry import faults_of, kind_of, signatures_of
from lifecycle.records.models import CopyWord, Print, PrintReturn
from lifecycle.records.models.treatment import TreatmentReport
from tests.actions.papers_out.test_reading_back import filled
from tests.actions.treatment.test_report import Treated
from tests.builders.condition import picture_bytes
from tests.builders.core import AT, make_person
from tests.builders.printing import printed
from tests.builders.treatment import HOUR, done, hand_of, step_word

pytestmark = pytest.mark.django_db
PRINTED, SIGNED, BACK = AT + 4 * HOUR, AT + 5 * HOUR, AT + timedelta(days=1)
Answers = Mapping[str, tuple[str, ...]]
BY_MARIT: Answers = {
    "read": ("nothing to add",),
    "signed.0.name": ("Marit Oldacre",),
    "signed.0.when": ("2026-06-02 15:05",),
}


@pytest.fixture
def treated() -> Treated:
    made = Treated()
    made.write()
    made.pair()
    return made


def sheet(treated: Treated, **values: Any) -> Print:
    values.setdefault("copy_word", CopyWord.TO_SIGN)
    treated.report.refresh_from_db()
    return printed(treated.report, at=values.pop("at", PRINTED), **values)


def back(row: Print, answers: Answers, **changes: Any) -> ReadBack:
    role = changes.pop("role", Role.CONSERVATOR)
    reader = changes.pop("by", None) or make_person(role, name="Piers Hallam")
    values: dict[str, Any] = {
        "written_by_name": "Marit Oldacre",
        "observed_at": SIGNED,
        "scan": picture_bytes(),
        "scan_name": "sheet.png",
    } | changes
    return read_back(
        by=reader,
        role=role,
        at=BACK,
        row=row,
        sheet=Sheet(code=row.code, filled=filled(row, answers), details=Return(**values)),
    )


def refused(row: Print, answers: Answers, **changes: Any) -> list[tuple[str, str]]:
    with pytest.raises(Refused) as told:
        back(row, answers, **changes)
    assert not PrintReturn.objects.exists()
    return [(reason.field, reason.text) for reason in told.value.reasons]


def test_a_report_signed_by_hand_counts_as_signed_with_the_sheet_as_its_evidence(
    treated: Treated,
) -> None:
    row = sheet(treated)

    made = back(row, BY_MARIT, role=Role.REGISTRAR, observed_at=SIGNED + HOUR)

    report = TreatmentReport.objects.get(pk=treated.report.pk)
    (signature,) = signatures_of(report)
    assert (signature.person, signature.capacity) == (treated.marit, "author")
    assert signature.at == datetime(2026, 6, 2, 14, 5, tzinfo=UTC)  # 15:05 on the museum's clock
    assert signature.scan == made.returned.scan is not None
    assert (signature.note, str(signature.read_back_by)) == (row.print_no, "Piers Hallam")
    assert report.signed
    assert treated.finished()
    assert list(faults_of(report, kind_of(report))) == []
    assert not still_out_of(report.uid).exists()
    assert made.targets == (
        f"the report on {treated.proposal.proposal_no}, signed by Marit Oldacre",
    )
    copy = sheet(treated, at=BACK, copy_word=CopyWord.SIGNED_COPY)
    words = words_of(copy.paper, copy.words)
    assert isinstance(words, TreatmentReportWords)
    assert [one.what for one in words.signed_by] == [f"author, on paper ({row.print_no})"]
    assert list(faults_of_print(row)) == list(faults_of_print(copy)) == []


def test_a_report_changed_since_the_printing_is_not_what_was_signed(treated: Treated) -> None:
    row = sheet(treated)
    treated.write(summary="Three tears were mended.")

    (found,) = refused(row, BY_MARIT)

    assert found[0] == "signed.0.name"
    assert "was changed after" in found[1]
    assert "summary" in found[1]
    assert not TreatmentReport.objects.get(pk=treated.report.pk).signed
    back(row, {})
    assert not TreatmentReport.objects.get(pk=treated.report.pk).signed


def test_a_step_logged_since_the_printing_was_not_signed_either(treated: Treated) -> None:
    row = sheet(treated)
    log_step(
        by=treated.marit,
        role=Role.CONSERVATOR,
        at=PRINTED + HOUR,
        museum_object=treated.showing.museum_object,
        proposal=treated.proposal,
        done=done(step_word("mend"), at=AT + HOUR, face=treated.face),
    )
    assert any("steps" in text for _, text in refused(row, BY_MARIT))


def test_a_sheet_whose_words_no_longer_give_its_digest_signs_nothing(
    treated: Treated, monkeypatch: pytest.MonkeyPatch
) -> None:
    row = sheet(treated)
    # A print can't be changed in the database, so its words are damaged as they are read.
    monkeypatch.setattr("lifecycle.papers.stamped.plain_text", lambda words: "other words")
    ((field, text),) = refused(row, BY_MARIT)
    assert field == "signed.0.name"
    assert "no longer give the digest" in text


def test_what_is_to_be_put_right_is_kept_and_signs_nothing(treated: Treated) -> None:
    row = sheet(treated)
    wrong = {"remarks": ("The tear is on the left.",)}
    ((field, text),) = refused(row, {**BY_MARIT, "read": (), **wrong})
    assert field == "signed.0.name"
    assert "to be put right" in text

    kept = back(row, wrong)

    assert [(one["sheet"], one["stands"]) for one in kept.returned.taken] == [
        ("The tear is on the left.", "record")
    ]
    assert not TreatmentReport.objects.get(pk=treated.report.pk).signed


NOT_COUNTED: list[tuple[Answers, dict[str, Any], str, str]] = [
    (BY_MARIT, {"scan": None, "no_scan_because": "away"}, "scan", "Attach the scan"),
    ({"signed.0.name": ("Marit",)}, {}, "signed.0.name", "Nobody is on record as “Marit”"),
    ({"signed.0.when": ("2026-06-02 15:05",)}, {}, "signed.0.name", "write who signed it"),
    (
        {"signed.0.name": ("Marit Oldacre",), "signed.0.when": ("noon",)},
        {},
        "signed.0.when",
        "is no day and time",
    ),
    (
        {"signed.0.name": ("Marit Oldacre",), "signed.0.when": ("2020-03-02 14:05",)},
        {},
        "signed.0.when",
        "was printed",
    ),
    (
        {"signed.0.name": ("Marit Oldacre",), "signed.0.when": ("2090-03-02 14:05",)},
        {},
        "signed.0.when",
        "in the future",
    ),
    ({"signed.0.name": ("Wen Castellane",)}, {}, "signed.0.name", "has no role in which"),
    ({"signed.0.name": ("Una Brill",)}, {}, "signed.0.name", "nobody signs for another"),
]


def test_a_hand_that_does_not_count_is_said_beside_its_line(treated: Treated) -> None:
    make_person(Role.CURATOR, name="Wen Castellane")
    make_person(Role.CONSERVATOR, name="Una Brill")
    row = sheet(treated)
    for answers, changes, field, text in NOT_COUNTED:
        found = refused(row, answers, **changes)
        assert [one for one in found if one[0] == field and text in one[1]], found


def test_nobody_reads_their_own_signature_back(treated: Treated) -> None:
    ((field, text),) = refused(sheet(treated), BY_MARIT, by=treated.marit)
    assert field == "signed.0.name"
    assert "somebody else has to read it back" in text


def test_all_three_hands_of_one_sheet_count_and_later_ones_on_a_sheet_of_their_own() -> None:
    treated = Treated(second=True)
    bram = make_person(Role.CONSERVATOR, name="Bram Oduya")
    reader = make_person(Role.CONSERVATOR, name="Ida Marsh")
    log_step(
        by=bram,
        role=Role.CONSERVATOR,
        at=AT + HOUR,
        museum_object=treated.showing.museum_object,
        proposal=treated.proposal,
        done=done(step_word("mend"), at=AT + HOUR, face=treated.face),
    )
    treated.write(second_reader=reader)
    treated.pair()
    row = sheet(treated)
    names = {
        "signed.0.name": ("Marit Oldacre",),
        "signed.1.name": ("bram oduya",),
        "signed.2.name": ("Ida Marsh",),
    }
    made = back(row, {key: names[key] for key in ("signed.0.name", "signed.1.name")})
    report = TreatmentReport.objects.get(pk=treated.report.pk)
    assert [one.capacity for one in signatures_of(report)] == ["author", "co_author"]
    assert len(made.targets) == 2
    assert not treated.finished()

    second = sheet(treated, at=BACK, copy_word=CopyWord.TO_SIGN)
    assert second.digest == report.digest
    read_back(
        by=treated.marit,
        role=Role.CONSERVATOR,
        at=BACK + HOUR,
        row=second,
        sheet=Sheet(
            code=second.code,
            filled=filled(second, {"signed.0.name": ("Ida Marsh",)}),
            details=Return(
                written_by_name="Ida Marsh",
                observed_at=BACK,
                scan=picture_bytes(),
                scan_name="second.png",
            ),
        ),
    )
    assert treated.finished()
    with pytest.raises(Refused, match="Everybody has signed"):
        sheet(treated, at=BACK + HOUR, copy_word=CopyWord.TO_SIGN)


def test_a_report_that_lacks_something_is_not_printed_to_be_signed() -> None:
    treated = Treated()
    treated.write()
    with pytest.raises(Refused, match=r"can’t be signed yet\. recto: choose the pictures"):
        sheet(treated)
    assert sheet(treated, copy_word=CopyWord.WORKING).pages >= 1


def test_only_who_treated_signs_beside_the_author_and_after_them(treated: Treated) -> None:
    bram = make_person(Role.CONSERVATOR, name="Bram Oduya")
    with pytest.raises(Refused, match="not signed by Marit Oldacre yet"):
        co_sign(hand=hand_of(bram, Role.CONSERVATOR), at=SIGNED, report=treated.report)
    treated.sign()
    with pytest.raises(Refused, match="holds no step of Bram Oduya"):
        co_sign(hand=hand_of(bram, Role.CONSERVATOR), at=SIGNED, report=treated.report)
