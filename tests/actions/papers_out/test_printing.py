"""Printing is a deed: number, digest, words and who it is expected back from, or nothing at all."""

import hashlib
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.papers.filling.any_paper import RECORDS
from lifecycle.papers.printed import draw_print, stamp_of, words_of
from lifecycle.papers.sheets import WORDS
from lifecycle.papers.words.stored import from_data, plain_text, to_data
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import Hazard, PlaceKind
from lifecycle.queries.papers_out import expected_back
from lifecycle.records.base import short_code
from lifecycle.records.models import CopyWord, PaperKind, PaperSize, Print, Vocabulary
from tests.builders.core import (
    AT,
    DAY,
    kept_by,
    make_face,
    make_museum,
    make_object,
    make_person,
    make_place,
    make_word,
)
from tests.builders.display import put_at
from tests.builders.preparation import Workshop
from tests.builders.printing import (
    make_barometer,
    make_finding,
    make_incident,
    make_movement,
    make_proposed,
    make_report,
    make_turn,
    on_display,
    printed,
    sign,
)
from tests.builders.tickets import make_job, make_mount
from tests.builders.treatment import make_treatment_report

pytestmark = pytest.mark.django_db


def record_for(paper: PaperKind) -> Any:
    match paper:
        case PaperKind.CONDITION_REPORT:
            return make_report()
        case PaperKind.DEINSTALL_FORM:
            return on_display()
        case PaperKind.MOVEMENT_SLIP:
            return make_movement()
        case PaperKind.TURN_INSTRUCTION:
            return make_turn()
        case PaperKind.INCIDENT_REPORT:
            return make_incident()
        case PaperKind.OBJECT_TAG:
            return on_display()
        case PaperKind.HOUSING_LABEL:
            return Workshop().housing()
        case PaperKind.MOUNT_LABEL:
            return Workshop().mount()
        case PaperKind.FACSIMILE_LABEL:
            return Workshop().facsimile()
        case PaperKind.TREATMENT_REPORT:
            return make_treatment_report(make_object())
        case PaperKind.OBJECT_LIST:
            return put_at(on_display(), Stage.ON_DISPLAY).exhibition
        case PaperKind.TREATMENT_PROPOSAL:
            return make_proposed()
        case PaperKind.LIGHT_STATEMENT:
            return on_display().museum_object
        case PaperKind.MOUNT_TICKET:
            return make_mount(make_object())
        case PaperKind.IMAGING_TICKET:
            return make_job(make_object())
        case PaperKind.READING_SHEET | PaperKind.CASE_CONDITIONS:
            return on_display().place


def no_pictures(_sha256: str) -> None:
    return None


def test_a_print_has_number_version_digest_address_and_its_words() -> None:
    movement = make_movement()

    row = printed(movement)

    words = words_of(row.paper, row.words)
    assert row.print_no == "PR-00001"
    assert row.record_no == movement.movement_no
    assert row.record_version == 1
    assert row.digest == hashlib.sha256(plain_text(words).encode()).hexdigest()
    assert row.code == short_code(row.uid)
    assert row.address == f"http://127.0.0.1:8000/p/{row.code}/"
    assert row.pages >= 1
    assert row.about.get().museum_object == movement.lines.get().museum_object


@pytest.mark.parametrize("paper", list(RECORDS))
def test_drawing_from_the_row_gives_the_same_bytes_after_everything_changed(
    paper: PaperKind,
) -> None:
    record = record_for(paper)
    row = printed(record, paper=paper, role=Role.CONSERVATOR)
    first = draw_print(row.paper, row.words, page_size=row.page_size, pictures=no_pictures)

    thing = row.about.order_by("pk")[0].museum_object
    thing.title = "Another title"
    thing.keep(**kept_by())
    museum = make_museum()
    museum.name = "Another museum"
    museum.keep(**kept_by())
    row.printed_by.full_name = "Another name"
    row.printed_by.keep(**kept_by())

    again = Print.objects.get(pk=row.pk)
    second = draw_print(again.paper, again.words, page_size=again.page_size, pictures=no_pictures)
    assert second.pdf == first.pdf
    assert second.pages == row.pages


def test_words_survive_being_stored_as_json() -> None:
    for record in (make_report(), on_display(), make_movement(), make_turn()):
        row = Print.objects.get(pk=printed(record).pk)
        words = words_of(row.paper, row.words)
        assert from_data(WORDS[row.paper], to_data(words)) == words


def test_the_same_words_keep_their_version_and_other_words_get_the_next() -> None:
    movement = make_movement()

    first, second = printed(movement), printed(movement)
    movement.route_remarks = "Lift B is out of order"
    movement.keep(**kept_by())
    third, fourth = printed(movement), printed(movement)

    assert first.digest == second.digest != third.digest == fourth.digest
    assert [row.record_version for row in (first, second, third, fourth)] == [1, 1, 2, 2]


def test_a_signed_report_is_printed_with_its_own_version_and_digest() -> None:
    report = sign(make_report())

    row = printed(report, copy_word=CopyWord.SIGNED_COPY)

    assert row.digest == report.digest
    assert row.record_version == report.version
    assert stamp_of(row.words).digest_words == "ab12c d34ef"


def test_a_signed_copy_of_an_unsigned_report_is_refused() -> None:
    with pytest.raises(Refused, match="no signed record to copy"):
        printed(make_report(), copy_word=CopyWord.SIGNED_COPY)

    assert not Print.objects.exists()


@pytest.mark.parametrize("copy_word", list(CopyWord))
def test_only_a_copy_to_sign_is_expected_back(copy_word: CopyWord) -> None:
    showing = on_display()
    report = sign(make_report(showing.museum_object, showing=showing))

    row = printed(report, copy_word=copy_word)

    assert row.expected_back is (copy_word is CopyWord.TO_SIGN)
    assert bool(expected_back([showing.pk])) is (copy_word is CopyWord.TO_SIGN)


def test_each_paper_is_looked_for_on_the_day_of_its_work() -> None:
    showing, turn, movement, report = on_display(), make_turn(), make_movement(), make_report()

    assert printed(showing).expected_back_by == showing.exhibition.deinstall_until
    assert printed(turn).expected_back_by == turn.day
    assert printed(movement).expected_back_by == DAY + timedelta(days=1)
    assert printed(report).expected_back_by == DAY + timedelta(days=14)


def test_a_day_in_the_past_is_refused_at_its_field() -> None:
    with pytest.raises(Refused) as refused:
        printed(make_movement(), expected_back_by=DAY - timedelta(days=1))

    assert [reason.field for reason in refused.value.reasons] == ["expected_back_by"]


def test_a_character_without_a_font_refuses_the_print_and_gives_the_number_back() -> None:
    thing = make_object(maker="𓀀 of Hollin")

    with pytest.raises(Refused) as refused:
        printed(make_movement(thing))

    (reason,) = refused.value.reasons
    assert "The maker holds “𓀀” (U+13000)" in reason.text
    assert "SHOWREST_CJK_FONT" in reason.text
    assert not Print.objects.exists()
    assert printed(make_movement()).print_no == "PR-00001"


def test_a_movement_that_was_called_off_has_no_slip() -> None:
    movement = make_movement()
    movement.cancelled_at, movement.cancel_reason = AT, "Not needed."
    movement.keep(**kept_by())

    with pytest.raises(Refused, match="was called off"):
        printed(movement)


def test_a_slip_to_the_store_without_housing_is_refused_with_the_count() -> None:
    """'not housed (9 of 9)'."""
    objects = [make_object() for _ in range(9)]
    bay = make_place("Bay 3", PlaceKind.BAY)

    with pytest.raises(Refused, match=r"not housed \(9 of 9\)"):
        printed(make_movement(*objects, to_place=bay, from_place=make_place("Bench 2")))


def test_a_slip_with_a_method_that_a_hazard_rules_out_is_refused() -> None:
    """A trolley without an upright rack is not offered."""
    trolley = make_word(Vocabulary.MOVE_METHOD, "trolley")

    with pytest.raises(Refused, match="travels upright only"):
        printed(make_movement(make_barometer(), method=trolley))


def test_a_form_for_an_object_that_never_hung_is_refused() -> None:
    showing = on_display()
    period = showing.display_periods.get()
    period.struck_at, period.struck_reason = AT, "Made in error."
    period.keep(**kept_by())

    with pytest.raises(Refused, match="has not been on display"):
        printed(showing)


@pytest.mark.parametrize("role", [Role.ATTENDANT, Role.CURATOR, Role.PHOTOGRAPHER, Role.STEWARD])
def test_a_role_that_handles_nothing_prints_no_slip(role: Role) -> None:
    with pytest.raises(NotAllowed):
        printed(make_movement(), role=role)

    assert not Print.objects.exists()


def test_letter_and_a4_are_both_printed() -> None:
    movement = make_movement()

    assert printed(movement, page_size=PaperSize.LETTER).page_size == "letter"
    assert printed(movement, page_size=PaperSize.A4).page_size == "a4"


def test_two_prints_of_one_moment_have_two_numbers() -> None:
    movement, person = make_movement(), make_person(Role.REGISTRAR)

    numbers = {printed(movement, person).print_no for _ in range(3)}

    assert numbers == {"PR-00001", "PR-00002", "PR-00003"}


def test_a_print_is_written_once() -> None:
    row = printed(make_movement())
    row.pages = 99

    with pytest.raises(TypeError):
        row.append()
    with pytest.raises(TypeError):
        Print.objects.filter(pk=row.pk).update(pages=99)


def test_the_form_lists_every_known_feature_of_every_face() -> None:
    showing = on_display(faces=2)
    faces = [row.face for row in showing.faces_wanted.order_by("order")]
    report = make_report(showing.museum_object, showing=showing)
    for number in range(60):
        make_finding(report, faces[number % 2])
    sign(report)

    words = words_of("deinstall_form", printed(showing).words)

    numbers = [row.number for page in words.faces for row in page.features]  # type: ignore[union-attr]
    assert sorted(numbers) == list(range(1, 61))
    assert [page.next_number for page in words.faces] == [61, 67]  # type: ignore[union-attr]


def test_a_face_is_named_with_its_landmark_on_the_report() -> None:
    thing = make_object()
    make_face(thing, label="ff. 31v-32r", landmark="“Wind at South West”")

    words = words_of("condition_report", printed(make_report(thing)).words)

    assert replace(words.faces[0].face, picture=None).landmark == "“Wind at South West”"  # type: ignore[union-attr]
    assert Hazard.NOT_ASSESSED.value in words.about.hazards  # type: ignore[union-attr]
