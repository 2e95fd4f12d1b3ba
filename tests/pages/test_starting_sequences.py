"""Starting sequences: every step known, cautions beside it, taken by choice."""

from typing import Any

import pytest
from django.urls import reverse

from lifecycle.actions.refusals import Refused
from lifecycle.actions.treatment.sequences import add_sequences
from lifecycle.exchange.starting_sequences import starting_sequences
from lifecycle.exchange.starting_words import starting_words
from lifecycle.process.bench_cautions import Brings, spoken_of
from lifecycle.process.bench_rules import RULES
from lifecycle.process.stages import Role
from lifecycle.queries.treatment.cautions import brought_by
from lifecycle.records.models.treatment import MaterialKind, StepSequence, StepSequenceLine
from tests.builders.core import AT, make_museum, make_person
from tests.builders.treatment import step_word
from tests.pages.signing_in import visitor

SETS = starting_sequences()


def test_every_starting_sequence_is_whole_and_honest_about_its_source() -> None:
    known = {row.code for row in starting_words() if row.vocabulary == "treatment_step"}
    for one in SETS.values():
        assert one.name
        assert "ommon practice" in one.source  # nobody's figures are claimed for it
        assert {step.step for step in one.steps} <= known
        for step in one.steps:
            assert MaterialKind(step.material_kind)
            assert 0 < step.hours <= 24
            most = StepSequenceLine._meta.get_field("amount").max_length or 0
            assert len(step.amount) <= most
        assert len({one.name for one in SETS.values()}) == len(SETS)


def test_cautions_ride_with_the_steps() -> None:
    """Common practice: moisture and some solvents harm iron-gall ink, pressure a flaking medium."""

    def met(code: str) -> set[tuple[str, str]]:
        return {
            (rule.trait.value, rule.brings.value)
            for step in SETS[code].steps
            for rule in spoken_of(
                brought_by(step.step, MaterialKind(step.material_kind), step.temperature_c), RULES
            )
        }

    assert ("iron_gall_ink", "moisture") in met("paste-mend")
    assert ("iron_gall_ink", "humidity") in met("relax-flatten")
    assert ("flaking_medium", "pressure") in met("relax-flatten")
    assert not {pair for pair in met("dry-cleaning") if pair[1] == Brings.MOISTURE.value}


@pytest.mark.django_db
def test_what_is_chosen_is_written_once_and_stays_as_the_house_changes_it() -> None:
    make_museum()
    for step in {step.step for one in SETS.values() for step in one.steps}:
        step_word(step)
    client = visitor(Role.CONSERVATOR)
    address = reverse("step-sequences-start")
    page = client.get(address)
    assert "iron-gall ink and moisture" in page.content.decode().lower()
    assert client.post(address, {}).context["form"].errors["chosen"] == [
        "Choose at least one sequence."
    ]
    client.post(address, {"chosen": ["paste-mend", "freeze"]})
    made = {row.name: row for row in StepSequence.objects.all()}
    assert set(made) == {SETS["paste-mend"].name, SETS["freeze"].name}
    mend = made[SETS["paste-mend"].name]
    assert "Source: Common practice" in mend.used_for
    lines = list(mend.lines.order_by("order").values_list("step__code", "result"))
    assert lines == [("test", ""), ("mend", ""), ("press", "")]
    offered = dict(client.get(address).context["form"].fields["chosen"].choices)
    assert set(offered) == set(SETS) - {"paste-mend", "freeze"}
    said: dict[str, Any] = {"role": Role.CONSERVATOR, "at": AT}
    said["by"] = make_person(Role.CONSERVATOR)
    assert add_sequences(chosen=[(mend.name, "Mine.", [])], **said) == []
    with pytest.raises(Refused, match="at least one sequence"):
        add_sequences(chosen=[], **said)
    assert client.get(reverse("step-sequences")).content.decode().count("Source:") == 2
