"""Reading sheet, light statement and case conditions: what stands on them, who prints them."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from lifecycle.actions.light import enter_past_light, report_light_event
from lifecycle.actions.light.walk import WalkLine, read_back_sheet
from lifecycle.actions.papers_out import Return
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.papers.printed import draw_print, words_of
from lifecycle.papers.words.light_statement import LightStatementWords
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import Hazard, HazardEvidence
from lifecycle.queries.light import next_allowed_for
from lifecycle.queries.light.case_conditions import case_conditions, common_band, strictest
from lifecycle.queries.light.points import points_in
from lifecycle.records.models import (
    Assessment,
    CopyWord,
    Face,
    Lamp,
    LampKind,
    LampWhere,
    LightReading,
    MuseumObject,
    ObjectHazard,
    PaperKind,
    Person,
    Place,
    Print,
    RoleAssignment,
    Showing,
)
from lifecycle.records.models.light import ChangeOfLight
from tests.builders.core import (
    AT,
    kept_by,
    make_class,
    make_face,
    make_museum,
    make_object,
    make_person,
    make_place,
)
from tests.builders.display import put_at
from tests.builders.light import hang, make_case, make_meter, make_point, read_light, want
from tests.builders.printing import printed
from tests.papers.reading import drawn_picture, page_texts

pytestmark = pytest.mark.django_db
Counted = Callable[[int], AbstractContextManager[Any]]
OPENED = datetime(2026, 3, 14, tzinfo=UTC)
CLOSED = datetime(2026, 9, 6, 23, tzinfo=UTC)
AFTER = datetime(2026, 9, 20, 9, tzinfo=UTC)


@pytest.fixture(autouse=True)
def _museum() -> None:
    make_museum()


@pytest.fixture
def marit() -> Person:
    return make_person(Role.CONSERVATOR, name="Marit Oldacre")


def pages(row: Print) -> list[str]:
    drawn = draw_print(row.paper, row.words, page_size=row.page_size, pictures=drawn_picture)
    return page_texts(drawn.pdf)


def statement(row: Print) -> LightStatementWords:
    words = words_of(row.paper, row.words)
    assert isinstance(words, LightStatementWords)
    return words


def on_show(case: Place, name: str, **values: Any) -> Showing:
    face = make_face(make_object(**values))
    period = hang(face, make_place(name=name, parent=case), opened_at=OPENED)
    want(period.showing, face)
    return put_at(period.showing, Stage.ON_DISPLAY)


def sheet(marit: Person, place: Place, **values: Any) -> Print:
    return printed(place, marit, **{"role": Role.CONSERVATOR, **values})


def test_the_reading_sheet_has_every_point_with_its_last_value_and_the_cautions(
    marit: Person,
) -> None:
    case = make_case(name="Case N2")
    on_show(case, "a", sensitivity_class=make_class("higher", max_lux=30))
    barometer = on_show(case, "b")
    ObjectHazard(
        museum_object=barometer.museum_object,
        hazard=Hazard.MERCURY_LIQUID,
        evidence=HazardEvidence.TESTED,
    ).keep(**kept_by())
    point = make_point(case)
    read_light(case, "28.5", AT - timedelta(days=9), point=point, by=marit, uv=Decimal(4))
    room = case.parent
    assert room is not None
    row = sheet(marit, room)
    (page,) = pages(row)
    for words in (
        "Case N2", "point A", "front rail, facing up", "30 lx", "28.5 lx, UV 4", "hot and carry",
        "mercury (liquid)", "keep it upright", "a missing reading is not zero", "Pencil only",
    ):  # fmt: skip
        assert words in " ".join(page.split()), words
    assert (row.paper, row.record_no, row.place) == (PaperKind.READING_SHEET, room.code, room)
    assert row.expected_back_by == AT.date() + timedelta(days=2)
    assert {one.museum_object for one in row.about.all()} == {
        row.museum_object for row in Showing.objects.all()
    }


def test_who_prints_a_reading_sheet(marit: Person) -> None:
    case, other = make_case(), make_case()
    for one in (case, other):
        on_show(one, "a")
    gil = make_person(Role.ATTENDANT)
    post = RoleAssignment.objects.get(person=gil)
    post.galleries.add(case)
    post.trained = True
    post.keep(by=None, role="", why="Trained.", at=AT, fields=["trained"])
    assert printed(case, gil, role=Role.ATTENDANT).pages == 1
    for person, place, role in (
        (gil, other, Role.ATTENDANT), (make_person(Role.CURATOR), case, Role.CURATOR),
    ):  # fmt: skip
        with pytest.raises(NotAllowed):
            printed(place, person, role=role)
    with pytest.raises(Refused, match="no reading point and nothing on display"):
        sheet(marit, make_case(name="Empty"))


def test_a_sheet_is_typed_back_with_its_readings_or_neither_is_kept(marit: Person) -> None:
    case = make_case(name="Case N2")
    on_show(case, "a")
    a, b = make_point(case, "A"), make_point(case, "B")
    read_light(case, "48", AT - timedelta(days=30), point=a, by=marit)
    gil, meter = make_person(Role.ATTENDANT, name="Gil Farrow"), make_meter()
    row = sheet(marit, case, at=AT)
    points = points_in(case, AT)
    assert [one.point for one in points] == [a, b]
    read_at, typed_at = AT + timedelta(hours=1), AT + timedelta(days=1)

    def line(n: int, lux: str, **values: Any) -> WalkLine:
        said = {"place": case, "point": points[n].point, "period": None, "read_at": read_at}
        return WalkLine(key=str(n), lux=Decimal(lux), **{**said, **values})

    def back(*lines: WalkLine, **values: Any) -> list[LightReading]:
        said = {
            "written_by_name": "Gil Farrow", "written_by": gil, "observed_at": read_at,
            "no_scan_because": "scanner away",
        }  # fmt: skip
        return read_back_sheet(
            by=marit, role=Role.CONSERVATOR, at=typed_at, row=row, lines=lines, instrument=meter,
            details=Return(**{**said, **values}),
        )  # fmt: skip

    with pytest.raises(Refused) as refused:
        back(line(0, "480"), line(1, "-2"), no_scan_because="")
    assert [reason.field for reason in refused.value.reasons] == ["lux_0", "lux_1", "scan"]
    assert refused.value.reasons[0].code == "reading.odd"
    with pytest.raises(Refused, match="who of the people"):
        back(line(0, "47"), written_by=None)
    assert LightReading.objects.count() == 1
    assert not row.returns.exists()
    first, second = back(line(0, "480", sure=True), line(1, "44"))
    assert (first.read_by, first.entered_by, first.read_at, first.entered_at) == (
        gil, marit, read_at, typed_at,
    )  # fmt: skip
    assert first.suspicious
    assert second.by_volunteer
    assert second.counts
    assert row.returns.get().written_by == gil
    with pytest.raises(Refused, match="came back already"):
        back(line(0, "47"))


def shown_face(marit: Person, thing: MuseumObject | None = None) -> Face:
    """The demo's run: a plate under 48 lx from 14 March to 6 September, read each month."""
    face, place = make_face(thing), make_place(parent=make_case(name="N2"))
    for month in range(3, 10):
        read_light(place, "48", datetime(2026, month, 14, tzinfo=UTC), by=marit, uv=Decimal(month))
    hang(face, place, opened_at=OPENED, closed_at=CLOSED)
    return face


def test_the_light_statement_says_what_the_account_says(marit: Person) -> None:
    """Figures of our own worked row: 1,291 lit and 1,064 public hours at 48 lx, 75,000 allowed."""
    face = shown_face(marit)
    thing = face.museum_object
    enter_past_light(
        by=marit, role=Role.CONSERVATOR, at=AFTER, face=face,
        from_at=datetime(1998, 5, 1, tzinfo=UTC), until_at=datetime(1998, 8, 1, tzinfo=UTC),
        low=Decimal(9_000), likely=Decimal(12_000), high=Decimal(20_000),
        basis="50 to 80 lx, 7 h a day", source="file note 1998",
    )  # fmt: skip
    row = printed(thing, marit, role=Role.CONSERVATOR, at=AFTER, copy_word=CopyWord.FOR_LENDER)
    text = " ".join(" ".join(pages(row)).split())
    next_time = next_allowed_for(
        face, first_day=AFTER.date() + timedelta(1), days=84, lux=50, at=AFTER,
        place=face.display_periods.get().place,
    )  # fmt: skip
    assert next_time.because in statement(row).faces[0].earliest
    for words in (
        "61,968", "13,032", "1,291 h", "public 1,064 h", "6 readings", "48 to 48",
        "3 to 8", "75,000", "file note 1998", "9,000 to 20,000", "73,968",
        "For 12 weeks at 50 lx: from", "allowance 75,000", "does not tell how much",
    ):  # fmt: skip
        assert words in text, words
    assert row.record_no == thing.object_number
    assert not row.expected_back
    assert statement(row).faces[0].gaps == ()


def test_an_event_and_what_was_charged_without_a_reading_stand_on_the_statement(
    marit: Person,
) -> None:
    face = shown_face(marit)
    place = Place.objects.get(light_readings__lux=48, light_readings__read_at__month=3)
    report_light_event(
        by=marit, role=Role.CONSERVATOR, at=AFTER, place=place, what=ChangeOfLight.RE_AIMED,
        from_at=datetime(2026, 8, 20, 10, tzinfo=UTC),
    )  # fmt: skip
    row = printed(face.museum_object, marit, role=Role.CONSERVATOR, at=AFTER)
    (said,) = statement(row).faces
    assert any("re-aimed" in event for event in said.events)


@pytest.mark.parametrize("number", [1, 3])
def test_a_statement_takes_a_fixed_number_of_questions(
    number: int, marit: Person, django_assert_num_queries: Counted
) -> None:
    from lifecycle.papers.filling.light_statement import light_statement_words  # noqa: PLC0415

    thing = make_object()
    for _ in range(number):
        shown_face(marit, thing)
    with django_assert_num_queries(28):
        light_statement_words(thing, AFTER)


def test_the_strictest_binds_and_two_bands_without_anything_in_common_name_both_owners() -> None:
    lux = strictest([(50, "A"), (None, "B"), (30, "C"), (30, "D")], "lx")
    assert lux is not None
    assert (lux.value, lux.set_by, lux.others) == (Decimal(30), ("C", "D"), ("A 50 lx",))
    assert strictest([(None, "A")], "lx") is None
    ten = Decimal
    fine = common_band([(ten(40), ten(55), "A"), (ten(45), None, "B"), (None, None, "C")], "% RH")
    assert fine is not None
    assert (fine.low, fine.high, fine.conflict) == (Decimal(45), Decimal(55), "")
    none = common_band([(ten(30), ten(40), "A"), (ten(45), ten(55), "B")], "% RH")
    assert none is not None
    assert none.conflict == (
        "B asks for at least 45 % RH, A for at most 40 % RH: they can't share one case."
    )
    assert common_band([(None, None, "A")], "°C") is None


def test_the_case_conditions_name_who_sets_each_limit(marit: Person) -> None:
    case = make_case(name="Case N2")
    dry, damp = on_show(case, "a"), on_show(case, "b")
    limits: dict[Showing, dict[str, Any]] = {
        dry: {"lux_ceiling": 40, "rh_min": 30, "rh_max": 40},
        damp: {"lux_ceiling": 50, "rh_min": 45, "rh_max": 55, "support_rule": "second cradle"},
    }
    for showing, values in limits.items():
        Assessment(
            showing=showing, kind="at_bench", fit_for_display="yes", uv_ceiling=10,
            sensitivity_class=make_class(), max_dose_lx_h=70_000, max_weeks=26,
            rotation_plan="none", look_every_days=14, reading_every_days=28,
            digest="a" * 64, signed_text="Signed.", signed_at=AT, **values,
        ).keep(**kept_by())  # fmt: skip
    unassessed = on_show(case, "c")
    Lamp(
        place=case,
        name="L1",
        where=LampWhere.INSIDE,
        position="left, under the lid",
        kind=LampKind.HALOGEN,
        filter="UV film",
        dim_percent=35,
        hot=True,
        changed_at=AT,
        changed_by=marit,
    ).keep(**kept_by())
    found = case_conditions(case, AT)
    assert found.lux is not None
    assert found.lux.set_by == (dry.museum_object.object_number,)
    assert found.not_assessed == (unassessed.museum_object.object_number,)
    row = printed(
        case, marit, role=Role.CONSERVATOR, paper=PaperKind.CASE_CONDITIONS,
        copy_word=CopyWord.WORKING,
    )  # fmt: skip
    text = " ".join(" ".join(pages(row)).split())
    for words in (
        f"40 lx, set by {dry.museum_object.object_number}", "they can't share one case",
        "second cradle", "No signed assessment yet", "gives off", "Steps and platforms",
        "No day is planned yet", "hot and carry current", "tungsten halogen, UV film; hot when lit",
        "35 %",
    ):  # fmt: skip
        assert words in text, words
    assert row.about.count() == 3
    with pytest.raises(Refused, match="Nobody signs a sheet of case conditions"):
        printed(
            case,
            marit,
            role=Role.CONSERVATOR,
            paper=PaperKind.CASE_CONDITIONS,
            copy_word=CopyWord.TO_SIGN,
        )
    with pytest.raises(Refused, match="there is nothing to keep"):
        printed(
            make_case(), marit, role=Role.CONSERVATOR, paper=PaperKind.CASE_CONDITIONS,
            copy_word=CopyWord.WORKING,
        )  # fmt: skip
