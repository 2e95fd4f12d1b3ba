"""Forty objects asked for at once, one answer each, no line dropped."""

from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

import pytest
from django.db import transaction

from lifecycle.actions.display.asking_by_list import (
    ForEveryLine,
    ask_by_list,
    ask_line_again,
)
from lifecycle.actions.light import enter_past_light
from lifecycle.actions.refusals import Refused
from lifecycle.exchange.request_list import line_typed, lines_of_text
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import ListAnswer
from lifecycle.queries.display.lists import answers_to
from lifecycle.queries.light.answers_again import again
from lifecycle.queries.rights import museum_day
from lifecycle.records.models import (
    ClassRule,
    Exhibition,
    HouseRules,
    MuseumObject,
    RequestLine,
    RequestList,
    Showing,
)
from tests.builders.core import (
    kept_by,
    make_class,
    make_exhibition,
    make_face,
    make_museum,
    make_object,
    make_person,
)
from tests.builders.display import Crew, make_crew, planned_showing, put_at
from tests.builders.light import make_timetable

pytestmark = pytest.mark.django_db

ASKED = datetime(2025, 9, 15, 9, 0, tzinfo=UTC)
FOR_ALL = ForEveryLine(
    reason="It shows how the weather was watched.",
    no_alternative_because="The hang was agreed with the lenders.",
    late_note="The title was settled on 12 September.",
)
FREE = 31


def objects(count: int, **values: Any) -> list[MuseumObject]:
    made = [make_object(**values) for _ in range(count)]
    for thing in made:
        make_face(thing, label="recto")
    return made


class Museum:
    """House rules v3, the gallery's lamps, an exhibition, and forty lines of wishes."""

    def __init__(self) -> None:
        make_museum()
        self.crew: Crew = make_crew()
        high = make_class()
        self.rules = HouseRules.objects.get()
        self.exhibition: Exhibition = make_exhibition(short="RBN", timetable=make_timetable())
        self.exhibition.curators.add(self.crew.curator)
        never = make_class("never")
        row = ClassRule.objects.get(house_rules=self.rules, sensitivity_class=high)
        assert (row.max_lux, row.allowance_lx_h, row.window_years, row.rest_months) == (
            50,
            75_000,
            5,
            36,
        )
        rule = ClassRule.objects.filter(sensitivity_class=never).get()
        rule.never_show = True
        rule.keep(**kept_by())
        self.free = objects(FREE)
        self.resting = objects(4)
        conservator = make_person(Role.CONSERVATOR, name="Marit Oldacre")
        for thing in self.resting:
            enter_past_light(
                by=conservator,
                role=Role.CONSERVATOR,
                at=ASKED,
                face=thing.faces.get(),
                from_at=datetime(2024, 3, 2, 10, tzinfo=UTC),
                until_at=datetime(2024, 6, 30, 17, tzinfo=UTC),
                low=Decimal(6_000),
                likely=Decimal(8_000),
                high=Decimal(9_000),
                basis="50 lx for 8 h a day",
                source="File note 2024",
            )
        self.booked = objects(2)
        other = make_exhibition(
            title="Glass and Frost",
            install_from=date(2026, 5, 1),
            opens=date(2026, 5, 9),
            closes=date(2026, 8, 2),
            deinstall_until=date(2026, 8, 10),
        )
        for thing in self.booked:
            put_at(planned_showing(other, museum_object=thing), Stage.SELECTION, ASKED)
        self.never = objects(1, sensitivity_class=never)

    @property
    def known(self) -> list[MuseumObject]:
        return [*self.free, *self.resting, *self.booked, *self.never]

    def text(self, *more: str) -> str:
        rows = ["Object number\tFaces\tFrom\tTo\tAlternatives"]
        rows += [
            f"{thing.object_number}\trecto\t2026-03-14\t6 September 2026\t"
            + ("another sheet; a copy" if n % 2 else "")
            for n, thing in enumerate(self.known)
        ]
        return "\n".join([*rows, *more])

    def strangers(self) -> Sequence[str]:
        """Two numbers nobody has: a zero written as a letter, and a slip of the finger."""
        return (
            self.free[0].object_number.replace("0", "O", 1) + "\trecto",
            self.free[1].object_number + "x\trecto",
        )

    def ask(self, text: str, said: ForEveryLine = FOR_ALL) -> RequestList:
        return ask_by_list(
            by=self.crew.curator,
            role=Role.CURATOR,
            at=ASKED,
            exhibition=self.exhibition,
            lines=lines_of_text(text),
            text=text,
            source="pasted",
            said=said,
        )


@pytest.fixture
def museum() -> Museum:
    return Museum()


Forty = tuple[Museum, RequestList, str]


@pytest.fixture(scope="class")
def forty(django_db_setup: None, django_db_blocker: Any) -> Iterator[Forty]:
    """The forty asked for, once for the tests that read the answers; each test is undone alone."""
    with django_db_blocker.unblock(), transaction.atomic():
        museum = Museum()
        text = museum.text(*museum.strangers())
        yield museum, museum.ask(text), text
        transaction.set_rollback(True)


class TestTheAnswers:
    """What was answered to all forty, asked for once."""

    def test_forty_lines_get_forty_answers_and_none_is_dropped(self, forty: Forty) -> None:
        museum, asked, text = forty
        lines = list(asked.lines.order_by("number"))
        assert [line.number for line in lines] == list(range(2, 42))
        assert Counter(line.answer for line in lines) == {
            ListAnswer.GO: 31,
            ListAnswer.RESTING: 4,
            ListAnswer.BOOKED: 2,
            ListAnswer.NOT_FOUND: 2,
            ListAnswer.FACSIMILE_ONLY: 1,
        }
        assert asked.rules_version == 3
        assert asked.text == text
        assert Showing.objects.filter(exhibition=museum.exhibition).count() == 31
        assert all(line.because for line in lines)

    def test_each_answer_says_its_rule_and_its_figures(self, forty: Forty) -> None:
        museum, asked, _ = forty
        by_answer: dict[str, list[RequestLine]] = {}
        for line in asked.lines.order_by("number"):
            by_answer.setdefault(line.answer, []).append(line)
        resting = by_answer["resting"][0]
        # Last lit on 30 June 2024 and 36 months of rest: free on 1 July 2027.
        assert resting.earliest == date(2027, 7, 1)
        assert "36 months' rest" in resting.because
        booked = by_answer["booked"][0]
        for said in ("9 May 2026", "2 Aug 2026", "14 Mar 2026", "6 Sep 2026", "Glass and Frost"):
            assert said in booked.because
        strangers = by_answer["not_found"]
        assert [line.object_number for line in strangers] == [
            row.split("\t")[0] for row in museum.strangers()
        ]
        for line, meant in zip(strangers, museum.free, strict=False):
            assert meant.object_number in {one["number"] for one in line.nearest}
        assert "facsimile only" in by_answer["facsimile_only"][0].because
        assert "64,550 lx·h" in by_answer["go"][0].because  # 1,291 lit hours at 50 lx

    def test_each_request_shows_whether_alternatives_are_named(self, forty: Forty) -> None:
        _, asked, _ = forty
        for line in asked.lines.exclude(showing=None).select_related("showing"):
            assert line.showing is not None
            assert line.showing.alternatives.count() == line.alternatives
            assert bool(line.showing.no_alternative_because) == (line.alternatives == 0)
            assert line.showing.late_note == FOR_ALL.late_note
        assert {line.alternatives for line in asked.lines.all()} == {0, 2}

    def test_the_answers_come_out_the_same_years_later(self, forty: Forty) -> None:
        """Also when the house rules and the accounts have changed meanwhile: inputs are stored."""
        _, asked, _ = forty
        row = ClassRule.objects.get(sensitivity_class__code="high")
        row.rest_months, row.allowance_lx_h = 1, 1
        row.keep(**kept_by())
        checked = 0
        for line in asked.lines.exclude(inputs={}):
            for said in again(line.inputs):
                if line.answer in (ListAnswer.RESTING, ListAnswer.GO):
                    assert said.because in line.because
                    checked += 1
        assert checked == 35


def test_forty_lines_take_as_many_questions_as_four(
    museum: Museum, django_assert_num_queries: Any
) -> None:
    museum_day(ASKED)
    every = lines_of_text(museum.text(*museum.strangers()))
    one_of_each = [every[n] for n in (0, FREE, FREE + 4, FREE + 6, -1)]
    for lines in (every, one_of_each):
        with django_assert_num_queries(24):
            assert len(answers_to(lines, museum.exhibition, ASKED)) == len(lines)


def test_choosing_the_nearest_number_asks_again_for_that_line(museum: Museum) -> None:
    more = objects(1)[0]
    asked = museum.ask(f"Object number\tFaces\n{more.object_number}x\trecto")
    line = asked.lines.get()
    assert line.answer == ListAnswer.NOT_FOUND
    acting: dict[str, Any] = {"by": museum.crew.curator, "role": Role.CURATOR, "at": ASKED}
    chosen = ask_line_again(
        **acting,
        line=line,
        read=line_typed(line.number, line.typed),
        object_number=more.object_number,
    )
    assert chosen.answer == ListAnswer.GO
    assert chosen.showing is not None
    assert chosen.typed["Object number"] == f"{more.object_number}x"
    with pytest.raises(Refused, match="asked again meanwhile"):
        ask_line_again(**acting, line=line, read=line_typed(2, line.typed))
    with pytest.raises(Refused, match="is a request already"):
        ask_line_again(**acting, line=chosen, read=line_typed(2, line.typed))


def test_a_resting_object_may_be_asked_for_all_the_same(museum: Museum) -> None:
    asked = museum.ask(museum.text())
    line = asked.lines.filter(answer=ListAnswer.RESTING).first()
    assert line is not None
    acting: dict[str, Any] = {"by": museum.crew.curator, "role": Role.CURATOR, "at": ASKED}
    read = line_typed(line.number, line.typed)
    again_asked = ask_line_again(**acting, line=line, read=read, all_the_same=True)
    assert again_asked.showing is not None
    assert again_asked.notes[0] == "Asked all the same: resting."
    never = asked.lines.get(answer=ListAnswer.FACSIMILE_ONLY)
    with pytest.raises(Refused, match="facsimile only"):
        ask_line_again(
            **acting, line=never, read=line_typed(never.number, never.typed), all_the_same=True
        )


def test_what_holds_for_all_lines_is_refused_before_anything_is_written(museum: Museum) -> None:
    with pytest.raises(Refused) as refused:
        museum.ask(museum.text(), ForEveryLine())
    assert {reason.field for reason in refused.value.reasons} == {
        "reason",
        "no_alternative_because",
        "late_note",
    }
    assert not RequestList.objects.exists()
    assert not Showing.objects.filter(exhibition=museum.exhibition).exists()


def test_lines_that_are_not_clear_say_what_to_mend(museum: Museum) -> None:
    one, two = museum.free[:2]
    make_face(two, label="verso", order=2)
    rows = [
        f"{one.object_number}\trecto\t2026-02-01\t2026-09-06",
        f"{one.object_number}\tverso",
        f"{two.object_number}",
        f"{two.object_number}\trecto; verso",
        f"{one.object_number}\trecto\tsoon",
        f"{museum.free[2].object_number}\trecto\t\t\t\turgent",
        "\trecto",
    ]
    answers = answers_to(lines_of_text("\n".join(rows)), museum.exhibition, ASKED)
    said = [answer.because for answer in answers]
    assert {answer.answer for answer in answers} == {ListAnswer.UNCLEAR}
    for words, text in zip(
        (
            "do not lie inside the run",
            "no face “verso”; it has: recto",
            "It has 2 faces; name the one",
            "2 faces are named: give each",
            "is no date",
            "is no priority",
            "no object number",
        ),
        said,
        strict=True,
    ):
        assert words in text


def test_several_faces_share_the_days_in_order(museum: Museum) -> None:
    thing = museum.free[0]
    make_face(thing, label="verso", order=2)
    text = (
        f"{thing.object_number}\trecto; verso\t2026-03-14; 2026-06-09\t2026-06-07; 2026-09-06"
        "\tReason\tkey piece"
    )
    asked = museum.ask(text)
    showing = Showing.objects.get(request_lines__request_list=asked)
    days = list(showing.faces_wanted.order_by("order").values_list("face__label", "from_on"))
    assert days == [("recto", date(2026, 3, 14)), ("verso", date(2026, 6, 9))]
    assert (showing.reason, showing.priority) == ("Reason", "key_piece")


def test_one_object_on_two_lines_and_one_asked_for_already(museum: Museum) -> None:
    thing = museum.free[0]
    asked = museum.ask(f"{thing.object_number}\n{thing.object_number}")
    assert [line.answer for line in asked.lines.order_by("number")] == ["go", "twice"]
    later = museum.ask(thing.object_number)
    assert later.lines.get().answer == ListAnswer.TWICE
    assert "asked for in this exhibition already" in later.lines.get().because
