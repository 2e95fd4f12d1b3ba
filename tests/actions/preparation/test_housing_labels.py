"""The label of a housing is a print that still holds, or a label by hand with its words."""

from datetime import timedelta
from typing import Any

import pytest

from lifecycle.actions.papers_out.returning import write_off
from lifecycle.actions.preparation.housing import (
    change_housing,
    housing_ordered_or_made,
    label_housing,
    try_housing,
)
from lifecycle.actions.refusals import Refused
from lifecycle.papers.printed import words_of
from lifecycle.process.gates.leaving import housing_label_is_printed
from lifecycle.process.stages import Role
from lifecycle.process.words import Hazard
from lifecycle.queries.preparation import preparation_facts_of
from lifecycle.queries.treatment.consenting import clock_at
from lifecycle.records.models import CopyWord, PaperKind, PrintSize, WrittenOff
from lifecycle.records.models.preparation import Housing, OldHousing, OldNotes
from tests.builders.core import AT, DAY
from tests.builders.preparation import Workshop
from tests.builders.printing import make_report, note_hazard, on_display, printed
from tests.builders.treatment import HOUR
from tests.process.lawful import lawful, put

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop() -> Workshop:
    return Workshop()


def label(row: Housing, **values: Any) -> Any:
    values.setdefault("role", Role.CONSERVATOR)
    return printed(row, paper=PaperKind.HOUSING_LABEL, **values)


def labelled(shop: Workshop) -> bool:
    return preparation_facts_of([shop.showing], clock_at(AT))[shop.showing.pk].housing.label_printed


def test_printing_the_label_is_what_meets_the_gate_and_nothing_is_ticked(shop: Workshop) -> None:
    row = shop.housing()
    assert not labelled(shop)
    made = label(row)
    assert labelled(shop)
    write_off(
        by=shop.marit,
        role=Role.CONSERVATOR,
        at=AT + HOUR,
        prints=[made],
        state=WrittenOff.VOID,
        reason="Smudged.",
    )
    assert not labelled(shop)


def test_a_label_of_an_earlier_specification_counts_no_longer(shop: Workshop) -> None:
    row = shop.housing()
    label(row)
    label_housing(**shop.conservator(), housing=row, says="In pencil as well.")
    change_housing(
        **shop.conservator(), housing=row, edition=1, wanted=shop.wanted(lift_aid="tapes")
    )
    assert not labelled(shop)
    label(Housing.objects.get(pk=row.pk))
    assert labelled(shop)


def test_a_label_made_before_it_came_down_does_not_say_until_when_it_rests() -> None:
    facts = lawful("send_home")
    down = facts.taken_down_at
    assert down is not None
    early = put(facts, "preparation.housing.labelled_at", down - timedelta(days=3))
    (blocker,) = housing_label_is_printed(early)
    assert "before it came down" in blocker.text
    later = put(facts, "preparation.housing.labelled_at", down + timedelta(days=3))
    assert list(housing_label_is_printed(later)) == []


def test_a_label_by_hand_is_kept_word_for_word_and_names_every_hazard(shop: Workshop) -> None:
    row = shop.housing()
    with pytest.raises(Refused, match="word for word"):
        label_housing(**shop.conservator(), housing=row, says=" ")
    note_hazard(shop.thing, Hazard.ARSENIC, Hazard.SHARP)
    with pytest.raises(Refused) as refused:
        label_housing(**shop.conservator(), housing=row, says=" ")
    assert [reason.field for reason in refused.value.reasons] == ["says"]
    with pytest.raises(Refused, match="does not name sharp"):
        label_housing(**shop.conservator(), housing=row, says="1 diary. Arsenic!")
    assert not labelled(shop)
    label_housing(**shop.conservator(), housing=row, says="1 diary. Arsenic, sharp edges.")
    assert labelled(shop)


def test_the_label_says_what_the_record_says(shop: Workshop) -> None:
    note_hazard(shop.thing, Hazard.MOULD)
    row = shop.housing(wanted=shop.wanted(lift_aid="both hands under the tray", air_access=True))
    made = label(row)
    words: Any = words_of(made.paper, made.words)
    assert words.board == "unbuffered board, air can reach it"
    assert words.lift == "both hands under the tray"
    assert words.about.hazards == ("mould",)
    assert words.resting == ("no face has to rest",)
    assert words.made == "not made yet"


def test_while_it_hangs_nobody_knows_yet_until_when_it_rests(shop: Workshop) -> None:
    shown = on_display(shop.thing)
    row = shop.housing()
    words: Any = words_of("housing_label", label(row).words)
    assert words.resting == ("not known while it is on display",)
    assert shown.museum_object == shop.thing


def test_only_labels_go_on_card(shop: Workshop) -> None:
    assert label(shop.housing(), page_size=PrintSize.CARD).page_size == "card"
    with pytest.raises(Refused) as refused:
        printed(make_report(shop.thing), page_size=PrintSize.CARD)
    assert [reason.field for reason in refused.value.reasons] == ["page_size"]
    with pytest.raises(Refused, match="Nobody signs a housing label"):
        label(Housing.objects.get(), copy_word=CopyWord.TO_SIGN)


def test_an_old_housing_is_photographed_before_it_is_thrown_away(shop: Workshop) -> None:
    row = shop.housing()
    housing_ordered_or_made(**shop.conservator(), housing=row, made_on=DAY, made_by="Marit")
    said: dict[str, Any] = {"housing": row, "fits": True, "tried_at": AT}
    said |= {"old_housing": OldHousing.DISCARDED, "old_notes": OldNotes.PHOTOGRAPHED}
    with pytest.raises(Refused) as refused:
        try_housing(**shop.conservator(), **said)
    fields = {reason.field for reason in refused.value.reasons}
    assert fields == {"old_notes_kept", "old_housing_picture"}
    picture = shop.picture(shop.a)
    tried = try_housing(
        **shop.conservator(), **said, old_housing_picture=picture, old_notes_picture=picture
    )
    assert tried.old_notes_kept == f"in the picture {picture.name}"
    again = try_housing(**shop.conservator(), **said)
    assert again.old_housing_picture == picture
