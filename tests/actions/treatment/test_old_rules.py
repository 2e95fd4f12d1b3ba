"""Objects treated under a rule that was changed since: found, and called back with it as cause."""

from datetime import timedelta
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from lifecycle.actions.refusals import Refused
from lifecycle.actions.treatment import call_back_all
from lifecycle.actions.treatment.caution_rules import write_caution_rule
from lifecycle.actions.treatment.sequences import write_sequence
from lifecycle.process.bench_cautions import Basis, Brings, Trait
from lifecycle.process.stages import Role
from lifecycle.queries.clock import museum_zone
from lifecycle.queries.treatment.materials import open_call_backs, recalls
from lifecycle.queries.treatment.under_old_rules import under_old_caution, under_rules_before
from lifecycle.records.models import HouseRules, Vocabulary
from lifecycle.records.models.treatment import CallBack, CautionRule
from tests.actions.treatment.lab import Lab
from tests.actions.treatment.test_sequences import usual
from tests.builders.core import AT, kept_by, make_museum, make_object, make_person, make_word
from tests.builders.treatment import HOUR, step_word

pytestmark = pytest.mark.django_db
LATER = AT + timedelta(days=400)


def write(**values: Any) -> CautionRule:
    said: dict[str, Any] = {
        "trait": Trait.WRITING,
        "brings": Brings.MENDING,
        "text": "No tissue over writing.",
        "source": "Our own trials.",
        "basis": Basis.HOUSE,
        "asks": True,
        "in_use": True,
        "why": "Mends over writing turned grey.",
    } | values
    head = make_person(Role.HEAD_OF_COLLECTIONS)
    return write_caution_rule(
        by=head, role=Role.HEAD_OF_COLLECTIONS, at=said.pop("at", LATER), **said
    )


def call(lab: Lab, **values: Any) -> list[CallBack]:
    values.setdefault("objects", [lab.thing])
    return call_back_all(
        by=lab.marit,
        role=Role.CONSERVATOR,
        at=LATER + HOUR,
        due_on=(LATER + timedelta(days=30)).date(),
        reason="Look at the mends.",
        **values,
    )


def later_rules(version: int, day: Any) -> HouseRules:
    return HouseRules(version=version, source="Test.", valid_from=day).keep(**kept_by())


def test_a_caution_made_stricter_finds_what_was_treated_before_it_and_calls_it_back(
    lab: Lab, django_assert_num_queries: Any
) -> None:
    plain = make_object()
    step = lab.log("mend")
    lab.thing.marks = "Signed lower left"
    lab.thing.keep(**kept_by())
    rule = write()
    with django_assert_num_queries(9):
        found = under_old_caution(rule)
    assert {pk: [one.pk for one in steps] for pk, steps in found.items()} == {
        lab.thing.pk: [step.pk]
    }
    assert under_old_caution(write(brings=Brings.HEAT)) == {}
    assert under_old_caution(write(trait=Trait.CYANOTYPE)) == {}
    assert under_old_caution(write(trait=Trait.ANY)).keys() == {lab.thing.pk}

    (made,) = call(lab, caution_rule=rule)

    assert (made.caution_rule, made.material, made.house_rules) == (rule, None, None)
    (line,) = recalls(museum_zone(), with_bay=False)
    assert line.why == "Caution changed, writing and a mend or fill: Look at the mends."
    assert call(lab, caution_rule=rule) == []
    with pytest.raises(Refused, match=f"{plain.object_number} was not treated under the old rule"):
        call(lab, caution_rule=rule, objects=[plain])


def test_a_step_after_the_change_was_done_under_the_new_rule(lab: Lab) -> None:
    lab.thing.marks = "Signed"
    lab.thing.keep(**kept_by())
    rule = write(at=AT - HOUR, asks=False)
    lab.log("mend")
    assert under_old_caution(rule) == {}
    assert under_old_caution(write()).keys() == {lab.thing.pk}


def test_what_was_done_in_spite_of_a_caution_is_found_though_its_trait_is_gone() -> None:
    lab = Lab()
    word = make_word(Vocabulary.MATERIAL, "iron-gall-ink")
    lab.thing.materials.add(word)
    step = lab.log("wash", caution_reason="Local, and tested first.")
    lab.thing.materials.remove(word)
    rule = write(trait=Trait.IRON_GALL_INK, brings=Brings.MOISTURE)
    assert [one.pk for one in under_old_caution(rule)[lab.thing.pk]] == [step.pk]


def test_a_new_version_of_the_house_rules_finds_what_was_treated_under_the_one_before(
    lab: Lab,
) -> None:
    lab.log("mend")
    if not HouseRules.objects.exists():
        later_rules(1, AT.date() - timedelta(days=9))
    last = HouseRules.objects.order_by("-version")[0].version
    second = later_rules(last + 1, AT.date() + timedelta(days=1))
    third = later_rules(last + 2, AT.date() + timedelta(days=2))
    assert under_rules_before(second).keys() == {lab.thing.pk}
    assert under_rules_before(third) == {}
    first = HouseRules.objects.order_by("version")[0]
    assert under_rules_before(first) == {}

    (made,) = call(lab, house_rules=second)

    assert made.cause == f"Changed by house rules v{second.version}"
    assert list(open_call_backs()) == [made]


def test_a_call_back_names_exactly_one_cause(lab: Lab) -> None:
    lab.log("mend", material=lab.glue)
    rule = write(trait=Trait.ANY)
    with pytest.raises(Refused, match="Name one cause"):
        call(lab)
    with pytest.raises(Refused, match="Name one cause"):
        call(lab, materials=[lab.glue], caution_rule=rule)
    (made,) = call(lab, materials=[lab.glue])
    for material, caution in ((None, None), (lab.glue, rule)):
        row = CallBack.objects.get(pk=made.pk)
        row.pk, row.uid, row.call_back_no = None, make_object().uid, "CB-9999"
        row.material, row.caution_rule = material, caution
        with pytest.raises(IntegrityError, match="call_back_one_cause"), transaction.atomic():
            row.save(force_insert=True)


def test_two_who_write_the_first_caution_of_a_pair_at_once_are_told(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    make_museum()
    write()
    monkeypatch.setattr("lifecycle.actions.treatment.caution_rules._held", lambda *_: None)
    with pytest.raises(Refused) as refused:
        write(text="Mine.")
    (reason,) = refused.value.reasons
    assert (reason.field, reason.code) == ("brings", "caution.meanwhile")
    assert "Somebody wrote the caution on writing and a mend or fill meanwhile" in reason.text
    assert CautionRule.objects.get().text == "No tissue over writing."


def test_two_who_write_a_sequence_of_one_name_at_once_are_told(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    make_museum()
    step_word("mend")
    said: dict[str, Any] = {"role": Role.CONSERVATOR, "at": AT, "name": "Mend", "used_for": ""}
    said |= {"by": make_person(Role.CONSERVATOR), "lines": [usual()]}
    write_sequence(**said)
    monkeypatch.setattr("lifecycle.actions.treatment.sequences._is_taken", lambda *_: False)
    with pytest.raises(Refused, match="“Mend” is on record already") as refused:
        write_sequence(**said)
    assert [reason.field for reason in refused.value.reasons] == ["name"]
