"""Signing: whose hand, what is frozen, and that a digest can be computed again."""

import hashlib
from datetime import timedelta
from io import StringIO
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import IntegrityError, connection, transaction

from lifecycle.actions.condition.sign import correct_report, countersign_report, sign_report
from lifecycle.actions.pictures import store_document
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.actions.signing import Hand, attest, on_paper, with_account
from lifecycle.process.stages import Role
from lifecycle.process.words import ReportKind, SignCapacity, SignMethod
from lifecycle.queries.signed_text.lines import Lines, grouped, number_in_words
from lifecycle.queries.signed_text.registry import digest_of, faults_of, kind_of, text_of
from lifecycle.records.models import Document, Person, Signature
from lifecycle.records.models.condition import ConditionReport, Observation
from lifecycle.records.triggers import lift_triggers, make_triggers
from lifecycle.running.management.commands import verify
from tests.builders.condition import (
    PASSWORD,
    fill_draft,
    make_finding,
    make_signed,
    sign_as_author,
    start_draft,
)
from tests.builders.core import AT, kept_by, make_face, make_person

pytestmark = pytest.mark.django_db
PDF = b"%PDF-1.7\n1 0 obj\n<<>>\nendobj\n%%EOF\n"


def scan_of(person: Person) -> Document:
    return store_document(
        data=PDF, name="sheet.pdf", title="CR, signed", by=person, role=Role.REGISTRAR, at=AT
    )


@pytest.fixture
def marit() -> Person:
    return make_person(Role.CONSERVATOR, name="Marit Oldacre")


@pytest.fixture
def draft(marit: Person) -> ConditionReport:
    face = make_face()
    draft = start_draft(faces=[face], by=marit)
    fill_draft(draft, by=marit)
    make_finding(draft, face, by=marit)
    return draft


def test_the_digest_is_the_sha_256_of_the_signed_words(
    draft: ConditionReport, marit: Person
) -> None:
    """FIPS 180-4; computed here by the standard library from the kept text alone."""
    signed = sign_as_author(draft, by=marit)
    assert signed.digest == hashlib.sha256(signed.signed_text.encode("utf-8")).hexdigest()
    assert Signature.objects.get().digest == signed.digest
    assert grouped(signed.digest) == f"{signed.digest[:5]} {signed.digest[5:10]}"


def test_units_and_moments_stand_in_words(draft: ConditionReport, marit: Person) -> None:
    text = sign_as_author(draft, by=marit).signed_text
    assert "Length: 14 millimetres" in text
    assert "Examined: 2 June 2026, 08:00:00 UTC" in text
    assert "Examined by: Marit Oldacre" in text


def test_digest_of_a_published_test_value() -> None:
    """SHA-256 of 'abc': FIPS 180-4 example, as published by NIST (from memory)."""
    assert digest_of("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


@pytest.mark.parametrize(
    ("value", "words"), [(14, "14"), ("14.0", "14"), ("0.50", "0.5"), ("1200", "1200"), (0, "0")]
)
def test_numbers_read_the_same_whatever_the_database_pads(value: Any, words: str) -> None:
    assert number_in_words(value) == words


def test_composed_and_decomposed_letters_give_one_text() -> None:
    one, other = Lines("A"), Lines("A")
    one.say("Name", "Ren\u00e9e")
    other.say("Name", "Rene\u0301e")
    assert one.text() == other.text()


def test_the_password_is_asked_again(draft: ConditionReport, marit: Person) -> None:
    for password, text in (("", "again"), ("guessed", "not the password")):
        hand = with_account(person=marit, role=Role.CONSERVATOR, password=password)
        with pytest.raises(Refused, match=text):
            sign_report(report=draft, hand=hand, at=AT)
    assert not Signature.objects.exists()


def test_nobody_types_in_their_own_paper_signature(draft: ConditionReport, marit: Person) -> None:
    hand = on_paper(
        person=marit,
        role=Role.CONSERVATOR,
        scan=scan_of(marit),
        read_back_by=marit,
        signed_at=AT,
    )
    with pytest.raises(Refused, match="somebody else has to read it back"):
        sign_report(report=draft, hand=hand, at=AT)


def test_a_paper_signature_is_read_back_by_somebody(draft: ConditionReport, marit: Person) -> None:
    hand = Hand(
        person=marit,
        role=Role.CONSERVATOR,
        method=SignMethod.ON_PAPER,
        scan=scan_of(marit),
        signed_at=AT,
    )
    with pytest.raises(Refused, match="somebody else has to read it back"):
        sign_report(report=draft, hand=hand, at=AT)


def test_a_paper_signature_needs_scan_and_time(draft: ConditionReport, marit: Person) -> None:
    josephine = make_person(Role.REGISTRAR)
    hand = on_paper(
        person=marit, role=Role.CONSERVATOR, scan=None, read_back_by=josephine, signed_at=None
    )
    with pytest.raises(Refused) as refused:
        sign_report(report=draft, hand=hand, at=AT)
    assert [reason.field for reason in refused.value.reasons] == ["scan", "signed_at"]


def test_a_sheet_read_back_later_keeps_both_times(draft: ConditionReport, marit: Person) -> None:
    josephine = make_person(Role.REGISTRAR, name="Josephine Abara")
    next_day = AT + timedelta(days=1)
    hand = on_paper(
        person=marit,
        role=Role.CONSERVATOR,
        scan=scan_of(josephine),
        read_back_by=josephine,
        signed_at=AT,
    )
    signature = sign_report(report=draft, hand=hand, at=next_day)
    assert (signature.person, signature.read_back_by) == (marit, josephine)
    assert (signature.at, signature.entered_at) == (AT, next_day)
    assert signature.method == SignMethod.ON_PAPER


def test_who_has_no_account_signs_on_paper(draft: ConditionReport) -> None:
    ghost = make_person(Role.CONSERVATOR, account=False)
    hand = with_account(person=ghost, role=Role.CONSERVATOR, password="anything")
    with pytest.raises(Refused, match="has no account here"):
        sign_report(report=draft, hand=hand, at=AT)


def test_a_closed_account_signs_nothing(draft: ConditionReport, marit: Person) -> None:
    assert marit.account is not None
    marit.account.is_active = False
    marit.account.save()
    hand = with_account(person=marit, role=Role.CONSERVATOR, password=PASSWORD)
    with pytest.raises(Refused, match="has no account here"):
        sign_report(report=draft, hand=hand, at=AT)


def test_what_is_written_once_is_signed_with_the_password_and_once(
    draft: ConditionReport, marit: Person
) -> None:
    def receipt(password: str) -> Signature:
        hand = with_account(person=marit, role=Role.CONSERVATOR, password=password)
        return attest(
            kind_name="a receipt",
            record=draft,
            text="Received.",
            capacity=SignCapacity.RECEIVED_BY,
            hand=hand,
            at=AT,
        )

    with pytest.raises(Refused, match="not the password"):
        receipt("guessed")
    assert receipt(PASSWORD).digest == digest_of("Received.")
    with pytest.raises(Refused, match="already"):
        receipt(PASSWORD)


def test_a_curator_can_t_sign_a_report(draft: ConditionReport) -> None:
    hand = with_account(person=make_person(Role.CURATOR), role=Role.CURATOR, password=PASSWORD)
    with pytest.raises(NotAllowed):
        sign_report(report=draft, hand=hand, at=AT)


def test_the_second_name_is_somebody_else_s(draft: ConditionReport, marit: Person) -> None:
    sign_as_author(draft, by=marit)
    own = with_account(person=marit, role=Role.CONSERVATOR, password=PASSWORD)
    with pytest.raises(Refused, match="somebody else's"):
        countersign_report(report=draft, capacity=SignCapacity.SECOND_READER, hand=own, at=AT)
    piers = make_person(Role.CONSERVATOR)
    second = with_account(person=piers, role=Role.CONSERVATOR, password=PASSWORD)
    signature = countersign_report(
        report=draft, capacity=SignCapacity.SECOND_READER, hand=second, at=AT
    )
    assert signature.digest == draft.digest
    with pytest.raises(Refused, match="already"):
        countersign_report(report=draft, capacity=SignCapacity.SECOND_READER, hand=second, at=AT)


def test_a_draft_can_t_be_countersigned(draft: ConditionReport) -> None:
    piers = make_person(Role.CONSERVATOR)
    hand = with_account(person=piers, role=Role.CONSERVATOR, password=PASSWORD)
    with pytest.raises(Refused, match="not signed by its author yet"):
        countersign_report(report=draft, capacity=SignCapacity.SECOND_READER, hand=hand, at=AT)


def frozen(change: Any) -> bool:
    with pytest.raises(IntegrityError, match="a correction is a new version"), transaction.atomic():
        change()
    return True


def test_rows_under_a_signature_are_frozen_in_the_database(marit: Person) -> None:
    report = make_signed(by=marit)
    seen = report.observations.get()

    def grade() -> None:
        report.grade = "good"
        report.keep(**kept_by())

    def note() -> None:
        seen.note = "changed afterwards"
        seen.keep(**kept_by())

    assert frozen(grade)
    assert frozen(note)
    assert frozen(lambda: report.examiners.add(make_person(Role.CONSERVATOR)))
    assert frozen(
        lambda: Observation(
            report=report, feature=seen.feature, term=seen.term, written_by=marit, written_at=AT
        ).keep(**kept_by())
    )


def test_a_correction_is_a_new_version_that_points_back(marit: Person) -> None:
    report = make_signed(by=marit, findings=2)
    with pytest.raises(Refused, match="what is changed and why"):
        correct_report(report=report, note=" ", by=marit, role=Role.CONSERVATOR, at=AT)
    draft = correct_report(
        report=report, note="F1 is 41 mm, not 14.", by=marit, role=Role.CONSERVATOR, at=AT
    )
    assert (str(draft), draft.corrects, draft.digest) == (f"{report.report_no} v2", report, "")
    assert draft.observations.count() == 2
    assert [p.full_name for p in draft.examiners.all()] == ["Marit Oldacre"]
    with pytest.raises(Refused, match="go on from that version"):
        correct_report(report=report, note="Again.", by=marit, role=Role.CONSERVATOR, at=AT)
    sign_as_author(draft, by=marit, at=AT + timedelta(hours=1))
    report.refresh_from_db()
    assert report.signed
    assert "Corrects version: 1" in draft.signed_text
    assert "F1 is 41 mm, not 14." in draft.signed_text
    versions = Signature.objects.order_by("pk").values_list("record_version", flat=True)
    assert list(versions) == [1, 2]


def verified() -> str:
    out = StringIO()
    call_command("verify", stdout=out, stderr=out)
    return out.getvalue().strip()


def test_verify_finds_every_signed_record_whole(marit: Person) -> None:
    make_signed(by=marit)
    make_signed(by=marit, kind=ReportKind.INCOMING)
    assert verified() == "2 signed records checked, 0 prints, 0 faults."


def test_a_renamed_person_and_a_better_term_break_no_digest(marit: Person) -> None:
    report = make_signed(by=marit)
    later = {**kept_by(), "at": AT + timedelta(days=400)}
    marit.full_name = "Marit Oldacre-Finch"
    marit.keep(**later)
    word = report.observations.get().term
    word.label = "split along a fold"
    word.keep(**later)
    report = ConditionReport.objects.get(pk=report.pk)
    assert list(faults_of(report, kind_of(report))) == []
    assert "Marit Oldacre-Finch" in text_of(report)


def test_verify_names_what_was_changed_behind_the_triggers(marit: Person) -> None:
    report = make_signed(by=marit)
    lift_triggers(connection)
    try:
        with connection.cursor() as cursor:
            cursor.execute(
                "UPDATE records_observation SET length_mm = 41 WHERE report_id = %s", [report.pk]
            )
    finally:
        make_triggers(connection)
    out = StringIO()
    with pytest.raises(CommandError, match="1 signed record checked, 0 prints, 1 fault"):
        call_command("verify", stderr=out)
    assert "“Length: 14 millimetres”, the record now says “Length: 41 millimetres”" in (
        out.getvalue()
    )


def test_verify_speaks_of_prints_and_of_triggers_too(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(verify, "print_faults", lambda: (3, ["PR-00001: its words differ."]))
    lift_triggers(connection)
    out = StringIO()
    try:
        with pytest.raises(CommandError, match="0 signed records checked, 3 prints, "):
            call_command("verify", stderr=out)
    finally:
        make_triggers(connection)
    assert "PR-00001: its words differ." in out.getvalue()
    assert "The trigger keep_records_signature_delete is missing" in out.getvalue()


BEHIND_THE_TRIGGERS = {
    "UPDATE records_conditionreport SET signed_text = 'Another'": [
        "the kept words no longer give the signed digest",
        "line 1 was signed as “Another”, the record now says “",
    ],
    "DELETE FROM records_signature": ["no signature is on record"],
    "UPDATE records_signature SET digest = 'f'": ["the signature of Marit Oldacre has another"],
}


@pytest.mark.parametrize("deed", BEHIND_THE_TRIGGERS)
def test_each_way_a_signed_record_can_come_apart_has_its_own_words(
    marit: Person, deed: str
) -> None:
    report = make_signed(by=marit)
    lift_triggers(connection)
    try:
        with connection.cursor() as cursor:
            cursor.execute(deed)
    finally:
        make_triggers(connection)
    report.refresh_from_db()
    found = [fault.what for fault in faults_of(report, kind_of(report))]
    said = BEHIND_THE_TRIGGERS[deed]
    assert len(found) == len(said)
    assert all(what.startswith(words) for what, words in zip(found, said, strict=True))


def test_a_hand_says_how_it_signs() -> None:
    hand: Hand = with_account(person=Person(full_name="A"), role=Role.CURATOR, password="x")
    assert hand.method is SignMethod.ACCOUNT
