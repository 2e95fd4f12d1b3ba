"""The demo museum, loaded for a fixed day: what stands in it."""

import re
from collections import Counter
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.apps import apps
from django.db import IntegrityError, connection
from django.db.models import Exists, OuterRef, Q
from django.test import TestCase
from django.test.utils import CaptureQueriesContext

from lifecycle.actions.demo import load_demo
from lifecycle.actions.refusals import Refused
from lifecycle.exchange.demo_data import FRAME, read_demo, weeks_to
from lifecycle.papers.filling.treatment_report import treatment_report_words
from lifecycle.process.stages import Role, Stage
from lifecycle.queries.facts import facts_of
from lifecycle.queries.light import account_of, rest_kept
from lifecycle.queries.today import today_of
from lifecycle.records.models import (
    Appointment,
    DisplayPeriod,
    Face,
    Look,
    Museum,
    MuseumObject,
    Person,
    RequestAnswer,
    RoleAssignment,
    Showing,
    Signature,
)
from lifecycle.records.models.treatment import (
    StepCaution,
    TreatmentReport,
    TreatmentStep,
    VersionCaution,
)

NOON = datetime.combine(FRAME, time(12), tzinfo=ZoneInfo("Europe/London"))


def test_dates_move_by_whole_weeks_so_that_weekdays_keep_their_meaning() -> None:
    day = date(2026, 11, 25)

    assert FRAME.weekday() == 2
    assert weeks_to(day) == timedelta(weeks=24)
    assert read_demo(day).exhibitions["exhibitions"][0]["opens"].weekday() == 5


def without_values(question: str) -> str:
    """A question as it is asked of any row: what stands in quotes, numbers and lists left out."""
    plain = re.sub(r"'(?:[^']|'')*'|(?<![\w\"])\d+(?:\.\d+)?", "?", question)
    return re.sub(r"\(\?(?:, \?)*\)", "(?)", plain)


class TheDemo(TestCase):
    @classmethod
    def setUpTestData(cls) -> None:
        load_demo(on=FRAME)

    def test_every_entry_of_the_history_says_why(self) -> None:
        silent = [
            model.__name__
            for model in apps.get_app_config("records").get_models()
            if hasattr(model, "history_change_reason")
            and model._default_manager.filter(history_change_reason=None).exists()
        ]

        assert silent == []

    def test_nobody_looks_at_what_has_come_down(self) -> None:
        late = Look.objects.exclude(showing=None).filter(
            ~Exists(
                DisplayPeriod.objects.filter(
                    Q(closed_at=None) | Q(closed_at__gte=OuterRef("looked_at")),
                    showing=OuterRef("showing"),
                    opened_at__lte=OuterRef("looked_at"),
                )
            )
        )

        assert not late.exists()

    def test_every_trip_has_come_as_far_as_its_row_says(self) -> None:
        wanted = {
            (row["object"], row["exhibition"]): row["reaches"]
            for row in read_demo(FRAME).exhibitions["trips"]
        }
        come = {
            (showing.museum_object.object_number, showing.exhibition.short): showing.stage
            for showing in Showing.objects.select_related("museum_object", "exhibition")
        }

        assert come == wanted
        assert set(Counter(come.values())) >= {
            Stage.SELECTION,
            Stage.EXAMINATION,
            Stage.TREATMENT,
            Stage.MOUNTING,
            Stage.READY,
            Stage.ON_DISPLAY,
            Stage.DEINSTALL_CHECK,
            Stage.REHOUSING,
            Stage.RETURNED,
            Stage.DECLINED,
        }

    def test_what_came_home_rests_until_a_day_that_is_kept_with_its_file(self) -> None:
        home = Showing.objects.get(stage=Stage.RETURNED)
        shown = DisplayPeriod.objects.get(showing=home)

        assert shown.closed_at is not None
        last = shown.closed_at.date()
        assert [one.free_from for one in rest_kept(home)] == [
            date(last.year + 3, last.month, last.day) + timedelta(days=1)
        ]

    def test_one_turn_is_late_and_one_is_due_in_days(self) -> None:
        turns = Appointment.objects.filter(kind="turn").order_by("day")

        assert [(turn.day - FRAME).days for turn in turns] == [-2, 5]

    def test_a_request_waits_for_its_answer(self) -> None:
        waiting = Showing.objects.get(stage=Stage.SELECTION)

        assert not RequestAnswer.objects.filter(showing=waiting).exists()

    def test_an_older_showing_has_filled_part_of_an_account(self) -> None:
        face = Face.objects.get(museum_object__object_number="HCM.1951.3.7")

        account = account_of(face, NOON)

        assert account.spent is not None
        assert account.spent.likely == 36_000
        assert account.left is not None
        assert account.left.likely == 75_000 - 36_000

    def test_each_role_has_a_person_and_all_nine_kinds_of_object_are_there(self) -> None:
        held = set(RoleAssignment.objects.values_list("role", flat=True))
        kinds = set(MuseumObject.objects.values_list("object_type__code", flat=True))

        assert held == {role.value for role in Role} - {Role.COURIER, Role.LENDER}
        assert kinds >= {
            "bound-manuscript",
            "watercolour",
            "photograph",
            "textile",
            "instrument",
            "specimen-sheet",
            "album",
            "pastel",
            "map",
        }
        assert MuseumObject.objects.count() == 30

    def test_a_treatment_was_told_to_its_end_and_read_by_a_second(self) -> None:
        report = TreatmentReport.objects.get()
        read = Signature.objects.filter(record_uid=report.uid).values_list("capacity", flat=True)

        assert report.signed
        assert report.pairs.count() == 1
        assert {"author", "second_reader"} <= set(read)

    def test_the_printed_report_tells_the_spot_test_and_each_reason_once(self) -> None:
        words = treatment_report_words(TreatmentReport.objects.get(), NOON)

        assert words.steps[0].result.endswith("Spot test, pink lake of the upper cloud, water: ran")
        assert words.steps[3].result.count("gone on") == 1
        assert words.steps[3].result.count("a medium that") == 2
        assert words.findings[0].who == "Marit Oldacre, picture in raking light"

    def test_nothing_was_treated_before_the_day_its_proposal_names(self) -> None:
        early = [
            step
            for step in TreatmentStep.objects.select_related("version")
            if step.version is not None
            and step.version.start_not_before is not None
            and step.observed_at.date() < step.version.start_not_before
        ]

        assert early == []

    def test_cautions_that_ask_were_answered_beforehand_and_at_the_bench(self) -> None:
        weighed = VersionCaution.objects.filter(left_out=False).exclude(why="")
        gone_on = StepCaution.objects.exclude(why="").values_list("trait", flat=True)

        assert ("iron_gall_ink", "moisture") in set(weighed.values_list("trait", "brings"))
        assert "ran_in_water" in set(gone_on)

    def test_a_finding_asks_the_curator_again_and_a_call_back_waits(self) -> None:
        wen = today_of(Person.objects.get(full_name__startswith="Wen "), NOON)
        marit = today_of(Person.objects.get(full_name__startswith="Marit "), NOON)

        assert "finding" in {line.key.split(":")[0] for line in wen}
        assert "recall" in {line.key.split(":")[0] for line in marit}

    def test_each_of_these_has_something_to_do_today(self) -> None:
        for name in ("Marit", "Wen", "Josephine", "Rufus", "Ada", "Bram", "Gil", "Odile"):
            with self.subTest(name):
                assert today_of(Person.objects.get(full_name__startswith=f"{name} "), NOON)

    def test_facts_of_all_showings_ask_no_question_anew_for_each_row(self) -> None:
        """Rows of every subject lie here, so that a question for each of them would be seen."""
        keys = list(Showing.objects.values_list("pk", flat=True))
        with CaptureQueriesContext(connection) as queries:
            facts = facts_of(keys, NOON)
        asked = Counter(without_values(query["sql"]) for query in queries)

        assert len(facts) == len(keys) >= 20
        assert {question: times for question, times in asked.items() if times > 3} == {}

    def test_it_is_refused_where_a_museum_stands_already(self) -> None:
        before = Person.objects.count()

        with pytest.raises((Refused, IntegrityError)):
            load_demo(on=FRAME)

        assert Museum.objects.get().is_demo
        assert Person.objects.count() == before
