"""Passing an object on, page by page: one showing ends, the next begins its examination."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.urls import reverse
from django.utils.timezone import now

from lifecycle.actions.display.going_home import pass_on
from lifecycle.actions.moves import place_hold
from lifecycle.actions.preparation.housing import (
    HousingWanted,
    housing_ordered_or_made,
    specify_housing,
    try_housing,
)
from lifecycle.actions.refusals import Refused
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import HoldKind, PlaceKind, ReportKind
from lifecycle.queries.facts import facts_of_one
from lifecycle.records.models import (
    JournalEntry,
    Movement,
    PassOn,
    Person,
    Showing,
    Vocabulary,
)
from lifecycle.records.models.preparation import Board
from tests.builders.core import make_person, make_place, make_showing, make_word
from tests.builders.display import (
    PASSWORD,
    face_of,
    make_case,
    make_crew,
    planned_showing,
    put_at,
    reason_word,
    running,
    signed_report,
)
from tests.builders.light import make_case as make_lit_case
from tests.builders.light import want
from tests.pages.signing_in import visitor

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)


class Onward:
    """An object off display and compared; a second exhibition has asked for it."""

    def __init__(
        self, *, part_b_age: timedelta = HOUR, compared: ReportKind = ReportKind.DEINSTALL_AT_BENCH
    ) -> None:
        self.crew, self.at = make_crew(), now()
        _, places = make_case("N8", 1)
        down = self.at - part_b_age - HOUR
        self.first = put_at(planned_showing(running(), places[0]), Stage.DEINSTALL_CHECK, down)
        self.thing, self.face = self.first.museum_object, face_of(self.first)
        signed_report(self.crew, self.first, ReportKind.DEINSTALL_AT_CASE, down, self.face)
        self.part_b = signed_report(
            self.crew,
            self.first,
            compared,
            self.at - part_b_age,
            self.face,
            none_known="Nothing on file.",
        )
        there = make_place(parent=make_lit_case())
        later = running(title="Glass and Frost")
        self.second = make_showing(exhibition=later, museum_object=self.thing, place=there)
        want(self.second, self.face)
        put_at(self.second, Stage.SELECTION, self.at - HOUR)
        self.bench = make_place("Paper bench", PlaceKind.BENCH)
        self.conservator = visitor(person=self.crew.conservator)
        self.registrar = visitor(person=self.crew.registrar)

    def house(self, *, fit_for_travel: bool = True) -> None:
        said: dict[str, Any] = {"by": self.crew.conservator, "role": Role.CONSERVATOR}
        said["at"] = self.at - HOUR / 2
        made = specify_housing(
            **said,
            museum_object=self.thing,
            showing=self.first,
            wanted=HousingWanted(
                kind=make_word(Vocabulary.HOUSING_KIND, "folder"),
                board=Board.ALKALINE_RESERVE,
                fit_for_travel=fit_for_travel,
            ),
        )
        housing_ordered_or_made(
            **said, housing=made, made_on=said["at"].date(), made_by="Rufus Tiller"
        )
        try_housing(**said, housing=made, fits=True, tried_at=said["at"])

    def accept(self) -> None:
        address = reverse("request-answer", args=[self.second.uid])
        said = {"answer": "yes", "because": "It has light enough left."}
        page = self.conservator.post(address, said)
        assert page.status_code == 302, page.context["form"].errors

    def release(self, *, hand_over: bool = True) -> Movement:
        """Planned with the showing that ends, authorised by the registrar, handed over."""
        here = self.thing.current_location
        assert here is not None
        page = self.conservator.post(
            reverse("movement-new") + f"?showing={self.first.uid}",
            {
                "objects": self.thing.object_number,
                "from_place": here.uid,
                "to_place": self.bench.uid,
                "reason": reason_word("examine").code,
                "people_needed": 1,
            },
        )
        assert page.status_code == 302, page.context["form"].errors
        row = Movement.objects.get()
        self.registrar.post(reverse("movement-authorise", args=[row.uid]))
        if hand_over:
            left_at = datetime.now(tz=UTC).strftime("%Y-%m-%dT%H:%M:%S+00:00")
            page = self.conservator.post(
                reverse("movement-hand-over", args=[row.uid]),
                {"left_at": left_at, "password": PASSWORD},
            )
            assert page.status_code == 302, page.context["form"].errors
        return row

    def pass_on(self, way: Movement | None, **values: Any) -> Any:
        said: dict[str, Any] = {
            "coming": self.second.uid,
            "movement": way.uid if way else "",
            "travel_housing": "Crate 4",
            "conservator": self.crew.conservator.uid,
        }
        return self.registrar.post(reverse("pass-on", args=[self.first.uid]), said | values)

    def stages(self) -> tuple[str, str]:
        rows = [Showing.objects.get(pk=row.pk).stage for row in (self.first, self.second)]
        return rows[0], rows[1]


@pytest.fixture
def onward() -> Onward:
    return Onward()


def untouched(onward: Onward) -> bool:
    """Nothing half-written: both showings where they were, no row of the passing on."""
    there = onward.stages() == (Stage.DEINSTALL_CHECK, Stage.SELECTION)
    none_named = Showing.objects.get(pk=onward.first.pk).passed_on_to is None
    return there and none_named and not PassOn.objects.exists()


def test_one_showing_ends_and_the_next_is_under_examination_resting_on_part_b(
    onward: Onward,
) -> None:
    onward.house()
    onward.accept()
    page = onward.pass_on(onward.release())
    assert page.status_code == 302, page.context["form"].errors
    assert onward.stages() == (Stage.RETURNED, Stage.EXAMINATION)
    row = PassOn.objects.get()
    assert (row.part_b, row.serves_as_baseline) == (onward.part_b, True)
    for showing in (onward.first, onward.second):
        entry = JournalEntry.objects.get(showing=showing, move="pass_on")
        assert (entry.by, entry.second) == (onward.crew.registrar, onward.crew.conservator)
    address = reverse("showing", args=[onward.second.uid])
    said = onward.conservator.get(address).content.decode()
    assert "No signed baseline report covers" not in said
    first = onward.registrar.get(reverse("showing", args=[onward.first.uid])).content.decode()
    assert onward.second.request_no in first


@pytest.mark.parametrize(
    ("age", "serves"), [(timedelta(days=29), True), (timedelta(days=30), False)]
)
def test_part_b_is_the_next_baseline_when_it_is_younger_than_30_days(
    age: timedelta, serves: bool
) -> None:
    onward = Onward(part_b_age=age)
    onward.house()
    onward.accept()
    onward.pass_on(onward.release())
    assert onward.stages() == (Stage.RETURNED, Stage.EXAMINATION)
    assert PassOn.objects.get().serves_as_baseline is serves
    said = onward.conservator.get(
        reverse("move", args=[onward.second.uid, "no_treatment_needed"])
    ).content.decode()
    assert ("No signed baseline report covers" in said) is not serves


def hold(onward: Onward) -> None:
    place_hold(
        by=onward.crew.conservator,
        role=Role.CONSERVATOR,
        at=onward.at,
        object_id=onward.thing.pk,
        kind=HoldKind.UNCLEAR_FINDING,
        reason="A flake that may lift.",
        showing=onward.first,
    )


def no_yes(onward: Onward) -> Movement:
    onward.house()
    return onward.release()


def no_travel_housing(onward: Onward) -> Movement:
    onward.house(fit_for_travel=False)
    onward.accept()
    return onward.release()


def not_released(onward: Onward) -> Movement:
    onward.house()
    onward.accept()
    return onward.release(hand_over=False)


def held(onward: Onward) -> Movement:
    onward.house()
    onward.accept()
    row = onward.release()
    hold(onward)
    return row


@pytest.mark.parametrize(
    ("leave_out", "told"),
    [
        (no_yes, "has no yes for"),
        (no_travel_housing, "has no housing fit for travel"),
        (not_released, "on to its next showing: release it"),
        (held, "A flake that may lift"),
    ],
    ids=["no answer", "no travel housing", "not handed over", "held"],
)
def test_each_thing_left_out_is_told_and_nothing_is_passed_on(
    onward: Onward, leave_out: Callable[[Onward], Movement], told: str
) -> None:
    page = onward.pass_on(leave_out(onward))
    assert page.status_code == 200
    errors = page.context["form"].non_field_errors()
    assert len(errors) == 1
    assert told in errors[0]
    assert "Crate 4" in page.content.decode()
    assert untouched(onward)


def test_without_part_b_it_is_not_passed_on() -> None:
    onward = Onward(compared=ReportKind.OFF_GOING_FACE)
    onward.house()
    onward.accept()
    assert "Part B of" in onward.pass_on(onward.release()).content.decode()
    assert untouched(onward)


@pytest.mark.parametrize("field", ["coming", "movement", "travel_housing", "conservator"])
def test_each_field_is_asked_for_beside_itself(onward: Onward, field: str) -> None:
    onward.house()
    onward.accept()
    page = onward.pass_on(onward.release(), **{field: ""})
    assert set(page.context["form"].errors) == {field}
    assert untouched(onward)


def test_a_next_showing_that_is_closed_takes_nothing_over(onward: Onward) -> None:
    onward.house()
    onward.accept()
    row = onward.release()
    put_at(onward.second, Stage.WITHDRAWN, onward.at)
    assert set(onward.pass_on(row).context["form"].errors) == {"coming"}
    with pytest.raises(Refused, match="only one at selection can"):
        pass_on(
            by=onward.crew.registrar,
            role=Role.REGISTRAR,
            at=now(),
            showing=onward.first,
            coming=onward.second,
            movement=row,
            travel_housing="Crate 4",
            conservator=onward.crew.conservator,
        )
    assert not PassOn.objects.exists()


@pytest.mark.parametrize("role", [Role.CONSERVATOR, Role.CURATOR, Role.TECHNICIAN])
def test_it_is_a_registrar_who_passes_on(onward: Onward, role: Role) -> None:
    person: Person = make_person(role)
    address = reverse("pass-on", args=[onward.first.uid])
    assert visitor(person=person).get(address).status_code == 403
    offered = onward.registrar.get(address).context["form"].fields["conservator"].queryset
    assert onward.crew.conservator in offered
    assert onward.crew.registrar not in offered


def test_the_next_showing_knows_its_facts_in_the_moment_after(onward: Onward) -> None:
    onward.house()
    onward.accept()
    onward.pass_on(onward.release())
    facts = facts_of_one(Showing.objects.get(pk=onward.second.pk), now())
    assert [move.move for move in facts.journal][-1] == "pass_on"
