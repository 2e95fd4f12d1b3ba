"""What on record makes an object and a step not go together."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest

from lifecycle.process.bench_cautions import Basis, Brings, Trait
from lifecycle.process.stages import Role
from lifecycle.process.words import Activity, FeatureState, Layer, Orientation
from lifecycle.queries.treatment.cautions import at_bench, raised_by_step
from lifecycle.records.models import (
    Feature,
    MuseumObject,
    Observation,
    Person,
    Vocabulary,
)
from lifecycle.records.models.condition import InkRating, InkTest
from lifecycle.records.models.treatment import CautionRule, Material, MaterialKind, MaterialTest
from tests.builders.core import (
    AT,
    DAY,
    kept_by,
    make_face,
    make_museum,
    make_object,
    make_person,
    make_word,
)
from tests.builders.printing import make_report, sign
from tests.builders.treatment import make_material, step_word

pytestmark = pytest.mark.django_db


def of(code: str, vocabulary: Vocabulary = Vocabulary.MATERIAL) -> MuseumObject:
    thing = make_object()
    many = thing.materials if vocabulary == Vocabulary.MATERIAL else thing.techniques
    many.add(make_word(vocabulary, code))
    return thing


def board(**values: Any) -> Material:
    return make_material("board", kind=MaterialKind.BOARD, **values)


def warned(thing: MuseumObject, code: str, **values: Any) -> set[tuple[str, str]]:
    found = raised_by_step(at_bench(thing), step=step_word(code), day=DAY, **values)
    return {(one.rule.trait.value, one.rule.brings.value) for one in found}


@pytest.fixture(autouse=True)
def somebody(db: None) -> Person:
    make_museum()
    return make_person(Role.CONSERVATOR)


@pytest.mark.parametrize(
    ("material", "step", "raises"),
    [
        ("iron-gall-ink", "humidify", {("iron_gall_ink", m) for m in ("moisture", "humidity")}),
        ("iron-gall-ink", "dust", set()),
        ("pastel-stick", "press", {("loose_medium", "pressure")}),
        ("hand-colouring", "wash", {("soluble_medium", "moisture")}),
        ("carbon-ink", "mend", {("writing", "mending")}),
        ("iron-blue", "deacidify", {("cyanotype", "alkali")}),
        ("albumen-silver", "deacidify", set()),
    ],
)
def test_a_material_of_the_object_raises_its_caution_and_no_other(
    material: str, step: str, raises: set[tuple[str, str]]
) -> None:
    """Albumen and alkaline board: the fear was withdrawn in 1984 (from memory)."""
    assert warned(of(material), step) == raises


def test_alkaline_board_meets_a_cyanotype_and_unbuffered_board_does_not() -> None:
    print_ = of("cyanotype", Vocabulary.TECHNIQUE)
    assert warned(print_, "hinge-to-mount", material=board(grade="buffered", alkaline=True)) == {
        ("cyanotype", "alkali")
    }
    plain = board(grade="unbuffered", alkaline=False)
    assert warned(print_, "hinge-to-mount", material=plain) == set()
    assert warned(of("silk"), "other", material=board(grade="buffered")) == {
        ("protein_textile", "alkali")
    }


def test_a_material_whose_test_failed_lapsed_or_is_missing() -> None:
    """Five years are usual for an Oddy test, or a new batch (from memory)."""
    thing = make_object()
    five_years = DAY.replace(year=DAY.year - 5)
    last_day = board(grade="a", test_state=MaterialTest.TESTED, tested_on=five_years)
    assert warned(thing, "other", material=last_day) == set()
    day_after = board(
        grade="b", test_state=MaterialTest.TESTED, tested_on=five_years - timedelta(days=1)
    )
    assert warned(thing, "other", material=day_after) == {("any", "test_lapsed")}
    failed = board(grade="c", test_state=MaterialTest.FAILED)
    assert warned(thing, "other", material=failed) == {("any", "test_failed")}
    unknown = board(grade="d", test_state=MaterialTest.TO_TEST)
    assert warned(thing, "other", material=unknown) == {("any", "not_tested")}


def test_what_may_not_lie_flat_is_not_pressed_unasked() -> None:
    thing = make_object(orientation_rule=Orientation.UPRIGHT_ONLY)
    assert warned(thing, "press") == {("upright_only", "lying_flat")}
    assert warned(make_object(), "press") == set()


def finding(thing: MuseumObject, code: str, somebody: Person, **values: Any) -> None:
    face = thing.faces.first() or make_face(thing)
    term = make_word(Vocabulary.CONDITION_TERM, code)
    number = thing.features.count() + 1
    feature = thing.features.filter(term=term).first() or Feature(
        museum_object=thing, face=face, number=number, term=term
    ).keep(**kept_by())
    examined = values.pop("examined_at", AT - timedelta(days=30))
    report = make_report(thing, entered_by=somebody, examined_at=examined)
    Observation(
        report=report,
        feature=feature,
        term=term,
        written_by=somebody,
        written_at=AT,
        zone="C2",
        severity=1,
        **{"state": FeatureState.FIRST_RECORD} | values,
    ).keep(**kept_by())
    sign(report, examined)


def test_a_flaking_or_active_medium_takes_no_pressure_until_it_is_treated(
    somebody: Person,
) -> None:
    flaking = make_object()
    finding(flaking, "flaking", somebody)
    assert warned(flaking, "press") == {("flaking_medium", "pressure")}
    finding(flaking, "flaking", somebody, state=FeatureState.TREATED, examined_at=AT)
    assert warned(flaking, "press") == set()
    active = make_object()
    finding(active, "fading", somebody, layer=Layer.MEDIUM, activity=Activity.ACTIVE)
    assert warned(active, "press") == {("flaking_medium", "pressure")}


def test_a_lining_on_both_faces_and_one_that_covers_writing_are_questioned() -> None:
    thing = make_object()
    recto = make_face(thing, label="recto")
    make_face(thing, label="verso", order=2)
    assert warned(thing, "line", face=recto) == set()
    assert warned(thing, "line") == {("any", "lining_both")}
    marked = make_object(marks="Stamp on the back.")
    assert warned(marked, "line") == {("writing", "lining")}


def test_ink_that_is_cracked_or_gave_iron_in_a_test_is_warned_of(somebody: Person) -> None:
    thing = make_object()
    face = make_face(thing)
    report = make_report(thing, entered_by=somebody)
    told: dict[str, Any] = {"report": report, "face": face, "number": 1, "written_by": somebody}
    InkRating(area="line 3", level=3, method="raking", written_at=AT, **told).keep(**kept_by())
    InkTest(
        test="free_iron",
        spot="line 3",
        strip_lot="B1",
        wetted_with="water",
        contact_seconds=20,
        read_after_seconds=300,
        colour=3,
        consent="TP-0001",
        written_at=AT,
        **told,
    ).keep(**kept_by())
    sign(report)
    assert warned(thing, "humidify") == {
        ("iron_gall_ink", "moisture"),
        ("iron_gall_ink", "humidity"),
        ("ink_cracked", "moisture"),
        ("free_iron", "moisture"),
    }


def test_a_rule_the_house_took_out_is_silent_and_its_own_speaks() -> None:
    thing = of("iron-blue")
    row: dict[str, Any] = {"source": "Our trial of 2026.", "basis": Basis.HOUSE}
    CautionRule(trait=Trait.CYANOTYPE, brings=Brings.ALKALI, text="Off.", in_use=False, **row).keep(
        **kept_by()
    )
    CautionRule(trait=Trait.CYANOTYPE, brings=Brings.PRESSURE, text="No plate press.", **row).keep(
        **kept_by()
    )
    assert warned(thing, "deacidify") == set()
    assert warned(thing, "press") == {("cyanotype", "pressure")}


def test_reads_do_not_grow_with_what_is_on_record(
    somebody: Person, django_assert_max_num_queries: Callable[[int], Any]
) -> None:
    thing = of("iron-gall-ink")
    for code in ("flaking", "powdering", "ink-cracking"):
        finding(thing, code, somebody)
    with django_assert_max_num_queries(11):
        at_bench(MuseumObject.objects.select_related("object_type").get(pk=thing.pk))
