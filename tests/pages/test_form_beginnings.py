"""Forms begin with what is known: the way on, the face in question, the usual reason."""

from datetime import UTC, datetime

import pytest
from django.urls import reverse

from lifecycle.process.stages import Stage
from lifecycle.process.words import PlaceKind
from lifecycle.records.models import Vocabulary
from tests.builders.core import make_museum, make_object, make_place, make_word
from tests.builders.display import (
    face_of,
    make_case,
    make_crew,
    on_display,
    planned_showing,
    put_at,
    reason_word,
    running,
)
from tests.pages.signing_in import visitor

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)


def test_a_movement_begins_with_its_way_and_likely_places_first() -> None:
    make_museum()
    crew, shelf = make_crew(), make_place("B3", PlaceKind.SHELF)
    _, (position,) = make_case("N1", 1)
    reason_word("install")
    thing = make_object(current_location=shelf, normal_location=shelf)
    showing = put_at(planned_showing(running(), position, museum_object=thing), Stage.READY)
    address = f"{reverse('movement-new')}?showing={showing.uid}"
    form = visitor(person=crew.registrar).get(address).context["form"]
    begun = {name: form[name].value() for name in ("from_place", "to_place", "reason")}
    assert begun == {
        "from_place": str(shelf.uid),
        "to_place": str(position.uid),
        "reason": "install",
    }
    (_, empty), (group, likely), _ = form.fields["to_place"].choices
    assert (empty, group) == ("choose a place", "Likely")
    assert [uid for uid, _ in likely] == [str(shelf.uid), str(position.uid)]


def test_a_report_of_the_off_going_face_begins_with_that_face_and_the_turn() -> None:
    make_museum()
    crew = make_crew()
    _, (position,) = make_case("N1", 1)
    word = make_word(Vocabulary.REPORT_REASON, "turn")
    showing = on_display(crew, position, NOW, faces=2)
    address = reverse("condition-start", args=[showing.uid])
    client = visitor(person=crew.conservator)
    off = client.get(f"{address}?kind=off_going_face").context["form"]
    coming = client.get(f"{address}?kind=on_coming_face").context["form"]
    assert off["reason"].value() == word.uid
    assert off["examiners"].value() == [crew.conservator.uid]
    assert off["faces"].value() == [face_of(showing, 1).uid]
    assert coming["faces"].value() == [face_of(showing, 2).uid]
