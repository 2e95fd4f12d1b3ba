"""Iron-gall ink: the worst area rates its face, level 4 is not shown, level 3 moves by name."""

from datetime import timedelta
from typing import Any

import pytest

from lifecycle.actions.condition.ink import (
    Rated,
    StripLaid,
    keep_ink_test,
    rate_ink,
    sign_off_ink,
    take_back_rating,
)
from lifecycle.actions.condition.sign import correct_report
from lifecycle.actions.movements.handing_over import hand_over
from lifecycle.actions.movements.planning import refuse_unsigned_ink
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.actions.signing import with_account
from lifecycle.process.ink import InkLevel, InkMethod, SpotTest, spot_test_means
from lifecycle.process.stages import Role
from lifecycle.queries.condition.ink import ink_of, ink_sentences, rated_face, rated_faces
from lifecycle.queries.condition.sheet import report_sheet
from lifecycle.queries.integrity import signed_faults
from lifecycle.queries.signed_text.registry import text_of
from lifecycle.records.models import HouseRules
from lifecycle.records.models.condition import ConditionReport
from tests.builders.condition import PASSWORD, fill_draft, sign_as_author, start_draft
from tests.builders.core import AT, DAY, make_face, make_museum, make_person
from tests.builders.printing import make_movement

pytestmark = pytest.mark.django_db
C = Role.CONSERVATOR


def rate(report: ConditionReport, level: InkLevel, **values: Any) -> Any:
    face = values.pop("face", None) or report.report_faces.order_by("pk")[0].face
    values.setdefault("area", f"lines at {level.label}")
    values.setdefault("method", InkMethod.TRANSMITTED)
    rated = Rated(face=face, level=level, **values)
    return rate_ink(report=report, rated=rated, by=report.entered_by, role=C, at=AT)


def lay_strip(report: ConditionReport, **values: Any) -> Any:
    given: dict[str, Any] = {
        "face": report.report_faces.order_by("pk")[0].face,
        "test": SpotTest.FREE_IRON,
        "spot": "line 4, stroke of the W",
        "strip_lot": "B-12",
        "wetted_with": "deionised water, 2 µl",
        "contact_seconds": 30,
        "read_after_seconds": 60,
        "colour": 2,
        "consent": "Wen Castellane, 1 June 2026",
    } | values
    return keep_ink_test(
        report=report, tested=StripLaid(**given), by=report.entered_by, role=C, at=AT
    )


def signed(report: ConditionReport) -> ConditionReport:
    fill_draft(report, by=report.entered_by, nothing_to_note=True)
    return sign_as_author(report, by=report.entered_by)


def test_the_worst_signed_area_rates_the_face_and_says_what_it_asks_of_handling(
    django_assert_num_queries: Any,
) -> None:
    make_museum()
    draft = start_draft()
    rate(draft, InkLevel.FAIR)
    rate(draft, InkLevel.POOR, area="ruled heading")
    assert ink_of(draft.museum_object, DAY) == ()

    report = signed(draft)

    with django_assert_num_queries(2):
        found = rated_faces([report.museum_object_id, draft.museum_object_id + 1], DAY)
    (rated,) = found[report.museum_object_id]
    assert (rated.level, rated.worst.area, len(rated.areas)) == (InkLevel.POOR, "ruled heading", 2)
    (sentence,) = ink_sentences([report.museum_object])
    assert "rated 3 poor (ruled heading," in sentence
    assert "Flat and supported at all times" in sentence
    assert len(report_sheet(report).ink_areas) == 2
    assert "Level: 3 poor" in report.signed_text
    assert signed_faults() == (1, [])


def test_a_corrected_rating_takes_the_place_of_the_one_before_with_its_tests() -> None:
    make_museum()
    draft = start_draft()
    sound = rate(draft, InkLevel.FAIR)
    lay_strip(draft, area=sound)
    report = signed(draft)
    again = correct_report(
        report=report, note="Looked at again.", by=report.entered_by, role=C, at=AT
    )
    assert again.ink_tests.get().area == again.ink_ratings.get()

    rate(again, InkLevel.BAD)
    sign_as_author(again, by=report.entered_by)

    (rated,) = ink_of(report.museum_object, DAY)
    assert (rated.level, rated.worst.report) == (InkLevel.BAD, again)


def test_poor_ink_is_not_handed_over_before_a_conservator_signs_it_off_by_name() -> None:
    make_museum()
    draft = start_draft()
    rate(draft, InkLevel.POOR)
    report = signed(draft)
    thing, face = report.museum_object, report.report_faces.get().face
    who = make_person(C)
    movement = make_movement(thing)
    with pytest.raises(Refused, match="A conservator signs off how it is moved, by name"):
        hand_over(
            by=who, role=C, movement=movement, left_at=AT, at=AT,
            hand=with_account(person=who, role=C, password=PASSWORD),
        )  # fmt: skip
    with pytest.raises(NotAllowed):
        sign_off_ink(
            face=face, how="On its board.", until=DAY, by=make_person(Role.REGISTRAR),
            role=Role.REGISTRAR, at=AT,
        )  # fmt: skip
    with pytest.raises(Refused) as refused:
        sign_off_ink(face=face, how=" ", until=DAY - timedelta(days=1), by=who, role=C, at=AT)
    assert [reason.field for reason in refused.value.reasons] == ["how", "until"]

    sign_off_ink(face=face, how="On its board, by two.", until=DAY, by=who, role=C, at=AT)

    refuse_unsigned_ink([thing], AT)
    with pytest.raises(Refused):
        refuse_unsigned_ink([thing], AT + timedelta(days=1))
    assert HouseRules.objects.exists()


def test_no_strip_is_laid_on_cracked_ink_and_none_without_consent() -> None:
    draft = start_draft()
    cracked = rate(draft, InkLevel.POOR)
    sound = rate(draft, InkLevel.GOOD)
    other = start_draft(make_face().museum_object)

    for changes, field in (
        ({"area": cracked}, "area"),
        ({"consent": " "}, "consent"),
        ({"contact_seconds": 0}, "contact_seconds"),
        ({"colour": 5}, "colour"),
        ({"face": other.report_faces.get().face}, "face"),
    ):
        with pytest.raises(Refused) as refused:
            lay_strip(draft, **changes)
        assert refused.value.reasons[0].field == field

    kept = lay_strip(draft, area=sound)
    assert kept.means.startswith("Free iron(II) that moves now")
    assert "Spot test 1" in text_of(draft)
    with pytest.raises(Refused, match="take the test back first"):
        take_back_rating(rating=sound, by=draft.entered_by, role=C, at=AT)


def test_cracks_are_not_rated_under_uv_and_an_area_has_words() -> None:
    draft = start_draft()
    with pytest.raises(Refused) as refused:
        rate(draft, InkLevel.BAD, method=InkMethod.UV, area=" ")
    assert {reason.field for reason in refused.value.reasons} == {"area", "method"}


def test_a_negative_test_is_no_proof_of_safety() -> None:
    """Common practice: iron(III) or acid may remain; a reducing step shows total iron."""
    assert "no proof of safety" in spot_test_means(SpotTest.FREE_IRON, 0)
    assert "No iron found" in spot_test_means(SpotTest.TOTAL_IRON, 0)


def test_an_object_without_a_rated_area_has_no_level() -> None:
    face = start_draft().report_faces.get().face
    assert ink_of(face.museum_object, DAY) == ()
    assert rated_face(face, DAY) is None
