"""How a day reads in sentences."""

from datetime import UTC, date, datetime

from lifecycle.process.days import day_words
from lifecycle.process.duties import duties
from lifecycle.process.facts.home import PaperFacts
from lifecycle.process.facts.showing import WaiverFacts
from tests.process.test_duties import TODAY, WATCH, shown, turn


def test_a_day_reads_as_on_the_pages() -> None:
    assert day_words(date(2026, 12, 14)) == "Mon 14 Dec 2026"
    assert day_words(date(2026, 12, 14), date(2026, 1, 1)) == "Mon 14 Dec"
    assert day_words(date(2027, 3, 7), date(2026, 1, 1)) == "Sun 7 Mar 2027"


def test_a_moment_is_the_day_it_names() -> None:
    assert day_words(datetime(2026, 12, 14, 23, 59, tzinfo=UTC)) == "Mon 14 Dec 2026"


def test_a_duty_does_not_say_again_the_day_that_stands_beside_it() -> None:
    facts = shown(
        light__watch=WATCH,
        display__appointments=(turn(5),),
        home__papers_out=(PaperFacts(number="PR-1", title="P6", expected_on=TODAY),),
        waivers=(WaiverFacts(code="mount.fit", by="Marit", reason="It holds.", until=TODAY),),
    )
    found = list(duties(facts))
    assert {duty.key.split(":")[0] for duty in found} >= {
        "reading",
        "look",
        "turn",
        "paper",
        "waiver",
    }
    for duty in found:
        assert duty.due_on is not None
        assert day_words(duty.due_on) not in f"{duty.text} {duty.why}"
