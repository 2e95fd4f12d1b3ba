"""Today as a page: pressing first, one walk for what is walked, short names, one click."""

from datetime import date

from lifecycle.pages.today import groups_of
from lifecycle.process.duties.duty import Band
from lifecycle.process.stages import Role
from lifecycle.queries.today import TodayLine

SHOWING = "3f1c2a52-8f0e-4c57-9a3e-6d1d8b7a2c10"


def line(number: int, url_name: str = "showing", band: Band = Band.OVERDUE) -> TodayLine:
    return TodayLine(
        key=f"{url_name}:{number}",
        text=f"{url_name} {number}",
        why="Due by the house rules.",
        due_on=date(2026, 11, 20 + number),
        band=band,
        role=Role.CONSERVATOR,
        url_name=url_name,
        url_kwargs={"uid": SHOWING},
        title="Silk weather kite",
        exhibition="Rain by Noon: three centuries of watching the weather",
    )


def test_three_that_are_walked_are_one_walk_where_the_first_of_them_stood() -> None:
    walked = [line(2, "reading-take"), line(3, "looks"), line(4, "looks")]
    (group,) = groups_of([line(1), *walked, line(5)])
    before, walk, after = group.rows
    assert (before.text, after.text) == ("showing 1", "showing 5")
    assert walk.text == "Walk the round: 1 reading and 2 looks due."
    assert walk.href == "/light/round/"
    assert walk.due_on == date(2026, 11, 22)
    assert [row.text for row in walk.under] == [one.text for one in walked]
    assert all(row.href for row in walk.under)


def test_two_that_are_walked_stay_two_and_so_do_those_of_another_week() -> None:
    later = line(4, "looks", Band.THIS_WEEK)
    groups = groups_of([line(2, "looks"), line(3, "looks"), later])
    assert [len(group.rows) for group in groups] == [2, 1]
    assert not any(row.under for group in groups for row in group.rows)


def test_seven_light_accounts_are_one_line_beside_the_walk() -> None:
    accounts = [line(number, "light-object") for number in range(1, 8)]
    walked = [line(number, "looks") for number in range(3)]
    (group,) = groups_of([*accounts[:4], *walked, *accounts[4:]])
    light, walk = group.rows
    assert light.text == "7 faces have little light left: turn, cover or dim."
    assert light.href == "/light/"
    assert len(light.under) == 7
    assert walk.text == "Walk the round: 3 looks due."


def test_a_row_names_the_exhibition_without_its_subtitle() -> None:
    (group,) = groups_of([line(1)])
    assert group.rows[0].about == "Silk weather kite, for “Rain by Noon”"
