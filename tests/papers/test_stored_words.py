"""Words as JSON and as plain text: nothing lost, a fixed order, damage said."""

import json
from dataclasses import replace

import pytest

from lifecycle.papers.printed import pictures_in
from lifecycle.papers.words.condition_report import ConditionReportWords
from lifecycle.papers.words.parts import FaceWords, MarkWords
from lifecycle.papers.words.stored import (
    WordsFault,
    differences,
    from_data,
    plain_text,
    to_data,
)
from tests.builders.papers_out import (
    BAROMETER,
    PICTURE,
    condition_report_words,
    deinstall_form_words,
    movement_slip_words,
    turn_instruction_words,
)


@pytest.mark.parametrize(
    "words",
    [
        condition_report_words(),
        deinstall_form_words(),
        movement_slip_words(),
        turn_instruction_words(),
    ],
    ids=["report", "de-install form", "slip", "turn"],
)
def test_words_come_back_from_json_as_they_were(words: object) -> None:
    again = json.loads(json.dumps(to_data(words)))

    assert from_data(type(words), again) == words


def test_stored_words_with_a_part_missing_say_which_paper_is_damaged() -> None:
    data = to_data(condition_report_words())
    del data["about"]["title"]

    with pytest.raises(WordsFault, match="ConditionReportWords are incomplete: 'title'"):
        from_data(ConditionReportWords, data)


def test_stored_words_of_another_kind_are_refused() -> None:
    with pytest.raises(WordsFault):
        from_data(FaceWords, {"label": 3, "kind": "side", "landmark": "", "picture": None})
    with pytest.raises(WordsFault, match="cannot store a set"):
        to_data({"a set"})


def test_plain_text_has_one_line_for_each_word_in_a_fixed_order() -> None:
    lines = plain_text(movement_slip_words()).splitlines()

    assert lines[0] == "institution: Hollinshire County Museum"
    assert lines[1] == "movement no: MV-0031"
    assert "objects, 1, object number: HCM.1899.2" in lines
    assert "people needed: 2" in lines


def test_differences_name_the_line_and_both_sides() -> None:
    before = movement_slip_words()
    after = replace(before, route_remarks="Lift B is out of order")

    assert differences(before, before) == []
    assert differences(before, after) == [
        ("route remarks", "Lift B; doors held open", "Lift B is out of order")
    ]


def test_an_object_more_is_a_difference() -> None:
    before = movement_slip_words()
    after = movement_slip_words(BAROMETER, replace(BAROMETER, object_number="HCM.1899.3"))

    names = [name for name, _, _ in differences(before, after)]

    assert "objects, 2, object number" in names


def test_every_picture_of_a_paper_is_found_once() -> None:
    assert pictures_in(deinstall_form_words()) == {PICTURE.sha256}
    assert pictures_in(movement_slip_words()) == set()


def test_a_print_from_before_a_field_was_added_keeps_its_words_and_its_digest() -> None:
    before = {"number": 1, "x": 5.0, "y": 6.0, "width": 0, "height": 0, "by_zone": False}

    mark = from_data(MarkWords, before)

    assert to_data(mark) == before
    assert "path" not in plain_text(mark)
    later = MarkWords(number=1, x=5, y=6, path=((1.0, 2.0), (3.0, 4.0)), at=(2.0, 3.0))
    assert from_data(MarkWords, json.loads(json.dumps(to_data(later)))) == later
    assert "path, 2, 1: 3.0" in plain_text(later)
