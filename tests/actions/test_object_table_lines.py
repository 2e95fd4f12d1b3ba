"""Lines of a table of objects: what each bad one is told, and what a good one means."""

from typing import Any

import pytest

from lifecycle.exchange.object_table.columns import BY_KEY
from lifecycle.exchange.tables.writing import xlsx_bytes
from lifecycle.records.models import (
    Measure,
    MuseumObject,
    ObjectHazard,
    Place,
    Vocabulary,
    Word,
)
from tests.builders.core import AT, kept_by
from tests.builders.object_table import (
    HEADINGS,
    Row,
    bad_of,
    digest,
    plain,
    written,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("lists")]


def test_numbers_that_differ_in_capitals_or_blanks_alone_are_refused_by_line() -> None:
    work = written([plain("HCM 1"), plain("hcm1"), plain("HCM 2")])
    assert [line[0] for line in bad_of(work)] == [2, 3]
    assert "capitals or blanks alone" in work.results["bad"][0][2]
    assert MuseumObject.objects.get().object_number == "HCM 2"


def test_a_number_finds_its_object_without_capitals_and_blanks_and_leaves_it_as_marked() -> None:
    written([plain("HCM 1")])
    work = written([plain("hcm1", maker="A")])
    assert work.results["changed"] == 1
    stored = MuseumObject.objects.get()
    assert (stored.object_number, stored.maker) == ("HCM 1", "A")


def test_a_number_that_could_be_two_objects_on_record_is_refused() -> None:
    written([plain("HCM 1")])
    twin = MuseumObject(object_number="HCM1", title="Twin", object_type=Word.objects.first())
    twin.keep(**kept_by())
    work = written([plain("hcm 1", maker="A")])
    assert "both on record" in bad_of(work)[0][2]
    assert written([plain("HCM1", maker="A")]).results["changed"] == 1


def test_lines_of_one_object_are_its_faces_and_must_not_contradict() -> None:
    work = written(
        [
            plain("HCM.1", face="recto"),
            {"object_number": "HCM.1", "face": "verso", "maker": "A"},
            plain("HCM.2", face="recto"),
            {"object_number": "HCM.2", "title": "Another", "face": "verso"},
            plain("HCM.3", face="recto"),
            {"object_number": "HCM.3", "face": "RECTO"},
            plain("HCM.4"),
            plain("HCM.4"),
        ]
    )
    one = MuseumObject.objects.get()
    assert (one.object_number, one.maker) == ("HCM.1", "A")
    assert list(one.faces.order_by("order").values_list("label", "order")) == [
        *(("recto", 1), ("verso", 2))
    ]
    reasons = {line[0]: line[2] for line in bad_of(work)}
    assert set(reasons) == {4, 5, 6, 7, 8, 9}
    assert "“Another” here and “Rain gauge” in line 4" in reasons[5]
    assert "earlier line" in reasons[7]
    assert "no further face" in reasons[9]
    assert "line 5" in reasons[4]


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"object_type": "prnt"}, "Near it: print"),
        ({"materials": "silk; slik"}, "Near it: silk"),
        ({"hazards": "arsenik"}, "Near it: arsenic"),
        ({"hazards": "none known; lead"}, "can't stand beside"),
        ({"hazards": "lead (none found)"}, "no evidence for lead"),
        ({"hazards": "lead (perhaps)"}, "no evidence known here"),
        ({"place": "Shelf 9z"}, "no place known here"),
        ({"lender": "Nobody's House"}, "no lender known here"),
        ({"owner": "lender"}, "Name the lender"),
        ({"owner": "museum", "lender": "Mill Lane Trust"}, "has no lender"),
        ({"class": "class high"}, "no sensitivity class"),
        ({"weight": "heavy"}, "no number"),
        ({"weight": "1.5"}, "not a whole number"),
        ({"size:open:height": "12"}, "needs a height and a width"),
        ({"size:open:height": "0", "size:open:width": "1"}, "more than 0 mm"),
        ({"size:open:height": "1,234", "size:open:width": "1"}, "without a comma"),
        ({"size:open:height": "1.23", "size:open:width": "1"}, "tenth of a millimetre"),
        ({"orientation": "upside down"}, "no orientation"),
        ({"light_passes": "perhaps"}, "neither yes nor no"),
        ({"landmark": "a blot"}, "the face has no name"),
        ({"face": "front", "never": "yes"}, "Say why"),
        ({"face": "front", "angle": "400"}, "1 to 360"),
        ({"cautions": "x" * 241}, "240 fit"),
        ({"title": ""}, "needs a title"),
    ],
)
def test_a_bad_line_is_named_with_its_reason_and_the_others_come_in(more: Row, says: str) -> None:
    work = written([plain("HCM.1") | more, plain("HCM.2")])
    assert [line[:2] for line in bad_of(work)] == [[2, "HCM.1"]]
    assert says in work.results["bad"][0][2]
    assert MuseumObject.objects.get().object_number == "HCM.2"


def test_no_word_on_hazards_is_not_assessed_and_never_none_known() -> None:
    written([plain("HCM.1", hazards=""), plain("HCM.2", hazards="none known")])
    assert not ObjectHazard.objects.filter(museum_object__object_number="HCM.1").exists()
    written([plain("HCM.1", hazards="lead"), plain("HCM.2", hazards="lead (tested): gloves")])
    running = ObjectHazard.objects.filter(ended_on=None)
    assert [(row.hazard, row.evidence) for row in running.order_by("pk")] == [
        *(("lead", "suspected"), ("lead", "tested"))
    ]
    written([plain("HCM.1", hazards="")])
    assert running.count() == 2
    work = written([plain("HCM.1", hazards="none known")])
    assert "can't be taken from a table" in bad_of(work)[0][2]


def test_an_empty_cell_leaves_what_is_on_record() -> None:
    written(
        [
            plain(
                maker="A",
                weight="1.2 kg",
                place="Shelf 1a",
                **{"size:open:height": "6.5 cm", "size:open:width": "1"},
            )
        ]
    )
    before = digest()
    written([plain(maker="", weight="", place="", **{"size:open:height": ""})])
    assert digest() == before
    assert MuseumObject.objects.get().weight_g == 1200
    assert Measure.objects.get().height_mm == 65


def test_a_retired_word_or_a_closed_place_stays_and_is_given_to_nothing_new() -> None:
    written([plain("HCM.1", materials="silk", place="Shelf 1a")])
    word = Word.objects.get(vocabulary=Vocabulary.MATERIAL, code="silk")
    word.retired_on = AT.date()
    word.keep(**kept_by())
    place = Place.objects.get(name="Shelf 1a")
    place.closed_on = AT.date()
    place.keep(**kept_by())
    again = written([plain("HCM.1", materials="silk", place="Shelf 1a", maker="A")])
    assert again.results["changed"] == 1
    work = written([plain("HCM.2", materials="silk"), plain("HCM.3", place="Shelf 1a")])
    assert ["no longer in use" in line[2] for line in bad_of(work)] == [True, True]


def test_excel_has_changed_the_number_and_the_line_says_so() -> None:
    headings = [HEADINGS[key] for key in ("object_number", "title", "object_type")]
    rest = ("Rain gauge", "print")
    rows_of: list[Any] = [
        [1908.1, *rest],
        [AT.date(), *rest],
        [1908, *rest],
        ["1908.10", *rest],
        [None, *rest],
    ]
    work = written(xlsx_bytes(headings, rows_of, "Objects"))
    reasons = {line[0]: line[2] for line in bad_of(work)}
    assert set(reasons) == {2, 3, 6}
    assert "noughts at its end" in reasons[2]
    assert "made a date" in reasons[3]
    numbers = set(MuseumObject.objects.values_list("object_number", flat=True))
    assert numbers == {"1908", "1908.10"}


def test_the_lines_of_the_template_that_explain_are_no_objects() -> None:
    said = {column.key: column.says for column in bringing_in_columns()}
    work = written([said, plain()])
    assert work.results == {"new": 1, "changed": 0, "unchanged": 0, "bad": []}


def bringing_in_columns() -> Any:
    return [BY_KEY[key] for key in HEADINGS]


@pytest.mark.parametrize(
    "words",
    ["Shelf 1a", "shelf 1a , bay 1", "Bay 1>Shelf 1a", "Main Store > Bay 1 > Shelf 1a"],
)
def test_a_place_may_be_named_in_any_way_that_means_no_other(words: str) -> None:
    assert written([plain(place=words)]).results["new"] == 1
    bay = Place.objects.get(name="Bay 2")
    Place(name="Shelf 1a", kind="shelf", parent=bay).keep(**kept_by())
    work = written([plain("HCM.2", place="Shelf 1a"), plain("HCM.3", place="Shelf 1a, Bay 2")])
    assert "no place known here" in bad_of(work)[0][2]
    assert work.results["new"] == 1


def test_a_new_object_lies_in_its_usual_place_and_a_later_table_does_not_carry_it() -> None:
    written([plain(place="Main Store > Bay 1 > Shelf 1a")])
    stored = MuseumObject.objects.select_related("current_location").get()
    assert stored.current_location is not None
    assert stored.current_location.name == "Shelf 1a"
    written([plain(place="Shelf 2a, Bay 2, Main Store")])
    stored.refresh_from_db()
    assert stored.normal_location is not None
    assert stored.current_location is not None
    assert (stored.normal_location.name, stored.current_location.name) == ("Shelf 2a", "Shelf 1a")
