"""What a package holds, leaves out, and costs; how it is stopped and taken up again."""

import csv
import json
import tracemalloc
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urljoin

import pytest
from django.core.files.storage import default_storage
from django.db import connection
from django.test.utils import CaptureQueriesContext

from lifecycle.actions.package import papers, saving
from lifecycle.actions.package.saving import Stopped
from lifecycle.exchange.package.bag import faults_of_bag
from lifecycle.queries.package.left_out import LENDER
from lifecycle.queries.package.naming import NUMBERED
from lifecycle.queries.pictures import picture_path
from lifecycle.queries.signed_text.registry import digest_of
from lifecycle.records.models import Look, Picture, Signature
from tests.builders.condition import make_signed, picture_bytes, start_draft
from tests.builders.core import AT, make_face, make_object, make_person, make_showing
from tests.builders.marking import Bench
from tests.builders.package import (
    CONTACT,
    INSURANCE,
    NUMBER,
    Diary,
    hold,
    lend,
    make_diary,
    save,
)
from tests.science.annotation_rules import broken_collection_rules

pytestmark = pytest.mark.django_db


@pytest.fixture
def diary(settings: Any, tmp_path: Path) -> Diary:
    settings.MEDIA_ROOT = tmp_path / "media"
    return make_diary()


def table(folder: Path, name: str) -> list[dict[str, str]]:
    path = folder / "data/tables" / f"{name}.csv"
    if not path.exists():
        return []
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def everything(folder: Path) -> str:
    kinds = ("*.txt", "*.csv", "*.jsonl")
    files = [path for kind in kinds for path in folder.rglob(kind)]
    return "\n".join(path.read_text(encoding="utf-8") for path in sorted(files))


def test_an_object_brings_what_is_its_own_and_nothing_of_another(
    diary: Diary, tmp_path: Path
) -> None:
    other = make_face(make_object(object_number="HCM.1911.2.7", title="The Rain Atlas"))
    make_signed(other.museum_object)
    folder = save(diary.museum_object, tmp_path / "bag").folder
    assert "HCM.1911.2.7" not in everything(folder)
    assert len(table(folder, "condition-report")) == 2
    whole = save(None, tmp_path / "museum").folder
    assert "HCM.1911.2.7" in everything(whole)
    assert len(table(whole, "condition-report")) == 3


def test_a_showing_brings_its_own_trip_and_not_the_objects_other_trips(
    diary: Diary, tmp_path: Path
) -> None:
    later = make_showing(museum_object=diary.museum_object, request_no="RQ-LATER")
    start_draft(diary.museum_object, at=AT, showing=later)
    folder = save(diary.showing, tmp_path / "bag").folder
    assert [row["request number"] for row in table(folder, "showing")] == [diary.showing.request_no]
    assert {row["report number"] for row in table(folder, "condition-report")} == {
        diary.first.report_no
    }
    assert len(table(folder, "museum-object")) == 1
    assert len(table(folder, "face")) == 1
    assert len(table(folder, "light-reading")) == 2


def test_light_read_after_it_had_left_the_case_is_not_the_objects(
    diary: Diary, tmp_path: Path
) -> None:
    folder = save(diary.museum_object, tmp_path / "bag").folder
    assert "180" not in [row["illuminance (lux)"] for row in table(folder, "light-reading")]
    whole = save(None, tmp_path / "museum").folder
    assert "180" in [row["illuminance (lux)"] for row in table(whole, "light-reading")]


def test_every_row_is_in_its_table_its_json_and_its_text(diary: Diary, tmp_path: Path) -> None:
    hold(diary)
    folder = save(None, tmp_path / "bag").folder
    for path in (folder / "data/tables").glob("[a-z]*.csv"):
        rows = table(folder, path.stem)
        lines = (folder / f"data/json/{path.stem}.jsonl").read_text().splitlines()
        assert [json.loads(line)["uid"] for line in lines] == [row["lasting mark"] for row in rows]
        assert rows
    text = everything(folder / "data/records") + everything(folder / "data/lists")
    for path in (folder / "data/json").glob("*.jsonl"):
        if path.stem != "light-reading":
            for line in path.read_text().splitlines():
                assert json.loads(line)["uid"] in text, path.stem
    assert "A split at the fold is longer than in spring." in text
    assert "(change found: A change was found that is not yet judged.)" in text


def test_people_are_told_with_full_names_and_nothing_private(diary: Diary, tmp_path: Path) -> None:
    words = everything(save(None, tmp_path / "bag").folder)
    assert "Marit Oldacre" in words
    account = diary.marit.account
    assert account is not None
    assert account.password not in words
    assert account.username not in words.split()
    assert diary.marit.email not in words


def test_how_a_lender_is_reached_is_told_only_to_who_may_read_it(
    diary: Diary, tmp_path: Path
) -> None:
    lend(diary)
    words = everything(save(None, tmp_path / "steward").folder)
    assert CONTACT not in words
    assert INSURANCE not in words
    assert "- insurance references" in words
    seen = everything(save(None, tmp_path / "registrar", seen=frozenset({LENDER})).folder)
    assert CONTACT in seen
    assert f"{INSURANCE} (renewed)" in seen
    assert "- insurance references" not in seen


def test_the_history_says_who_when_why_and_what(diary: Diary, tmp_path: Path) -> None:
    folder = save(diary.museum_object, tmp_path / "bag").folder
    with (folder / "data/history/condition-report.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    signed = [row for row in rows if row["reason"] == "signed as author"]
    assert [row["who"] for row in signed] == ["Marit Oldacre"] * 2
    assert {row["role"] for row in signed} == {"conservator"}
    grades = [row["what changed"] for row in rows if "grade from" in row["what changed"]]
    assert "grade from ‘not stated’ to ‘fair’" in grades[0]


def test_signed_words_give_the_digest_of_every_signature(diary: Diary, tmp_path: Path) -> None:
    folder = save(None, tmp_path / "bag").folder
    files = (folder / "data/signed-words").rglob("*.txt")
    found = {digest_of(path.read_bytes().decode()) for path in files}
    digests = set(Signature.objects.values_list("digest", flat=True))
    assert digests
    assert digests <= found


def test_words_that_no_longer_give_their_digest_are_named_in_the_readme(
    diary: Diary, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(papers, "plain_text", lambda _words: "other words\n")
    saved = save(diary.museum_object, tmp_path / "bag")
    number = diary.form.print_no
    assert f"The digest of {number} does not come from its printed words." in saved.missing
    assert number in (saved.folder / "data/README.txt").read_text()


def test_a_picture_the_store_has_lost_is_named_and_the_rest_is_saved(
    diary: Diary, tmp_path: Path
) -> None:
    picture = Picture.objects.order_by("pk")[0]
    default_storage.delete(picture_path(picture.sha256, "original", picture.mime))
    saved = save(diary.museum_object, tmp_path / "bag")
    assert any("is missing from the store" in what for what in saved.missing)
    assert (
        "What should be here and could not be had" in (saved.folder / "data/README.txt").read_text()
    )
    assert list(faults_of_bag(saved.folder)) == []


def test_long_and_foreign_names_are_cut_and_the_true_name_stands_inside(
    diary: Diary, tmp_path: Path
) -> None:
    number = "雨の記録/" + "x" * 50
    thing = make_object(object_number=number, title="雨 " * 90)
    folder = save(thing, tmp_path / "bag").folder
    (page,) = (folder / "data/records/objects").iterdir()
    assert page.name.isascii()
    assert f"Object number: {number}" in page.read_text(encoding="utf-8")


def stop_after(calls: int) -> Callable[[int, str], None]:
    left = [calls]

    def tick(_more: int, _doing: str) -> None:
        left[0] -= 1
        if left[0] < 0:
            raise Stopped

    return tick


@pytest.mark.parametrize("calls", [0, 1, 40, 90])
def test_a_package_that_was_cut_off_is_taken_up_and_comes_out_the_same(
    diary: Diary, tmp_path: Path, calls: int
) -> None:
    whole = save(diary.museum_object, tmp_path / "whole").folder
    with pytest.raises(Stopped):
        save(diary.museum_object, tmp_path / "cut", tick=stop_after(calls))
    assert list(faults_of_bag(tmp_path / "cut")) != []
    again = save(diary.museum_object, tmp_path / "cut").folder
    manifests = [(one / "manifest-sha256.txt").read_text() for one in (whole, again)]
    assert manifests[0] == manifests[1]


def test_what_was_done_is_not_done_again(
    diary: Diary, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    save(diary.museum_object, tmp_path / "bag")
    monkeypatch.setattr(saving.Saving, "_table", None)
    monkeypatch.setattr(papers, "draw_print", None)
    save(diary.museum_object, tmp_path / "bag")


def test_parts_done_add_up_to_the_whole(diary: Diary, tmp_path: Path) -> None:
    done: list[int] = []
    order = tmp_path / "bag"
    save(diary.museum_object, order, tick=lambda more, _doing: done.append(more))
    again: list[int] = []
    save(diary.museum_object, order, tick=lambda more, _doing: again.append(more))
    assert sum(done) == sum(again) > 100


def many_looks(diary: Diary, count: int) -> None:
    place = diary.showing.place
    assert place is not None
    for number in range(count):
        at = AT - timedelta(days=20, minutes=number)
        Look(
            museum_object=diary.museum_object,
            showing=diary.showing,
            place=place,
            verdict="as_picture",
            looked_at=at,
            looked_by=diary.marit,
            entered_at=at,
            entered_by=diary.marit,
        ).append()


def questions(diary: Diary, folder: Path) -> int:
    with CaptureQueriesContext(connection) as asked:
        save(diary.museum_object, folder)
    return len(asked)


def test_a_hundred_rows_more_cost_no_question_more(diary: Diary, tmp_path: Path) -> None:
    many_looks(diary, 2)
    few = questions(diary, tmp_path / "few")
    many_looks(diary, 100)
    make_person()
    assert questions(diary, tmp_path / "many") <= few


def test_a_crowd_of_parts_is_counted_on_the_page_and_told_in_the_table(
    diary: Diary, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("lifecycle.queries.package.telling.MOST_PARTS", 5)
    many_looks(diary, 6)
    folder = save(diary.museum_object, tmp_path / "bag").folder
    page = (folder / f"data/records/objects/{NUMBER}.txt").read_text()
    assert "Looks: 6\n    They stand in tables/look.csv." in page
    assert len(table(folder, "look")) == 6


def test_a_large_scan_goes_through_the_disk_not_through_memory(
    diary: Diary, tmp_path: Path
) -> None:
    big = 64 << 20
    picture = Picture.objects.order_by("pk")[0]
    path = Path(default_storage.path(picture_path(picture.sha256, "original", picture.mime)))
    with path.open("r+b") as file:
        file.truncate(big)
    save(diary.museum_object, tmp_path / "warm")  # fonts and templates are loaded once
    tracemalloc.start()
    try:
        save(diary.museum_object, tmp_path / "bag")
        most = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert max(one.stat().st_size for one in (tmp_path / "bag").rglob("*.jpg")) == big
    assert most < big / 2


def test_pages_have_as_many_files_as_records(diary: Diary, tmp_path: Path) -> None:
    folder = save(None, tmp_path / "bag").folder
    assert len(NUMBERED) > 20
    for kind in (folder / "data/records").iterdir():
        count = len(list(kind.iterdir()))
        lines = (folder / "data/README.txt").read_text().splitlines()
        assert any(line.split()[:1] == [str(count)] for line in lines), kind.name


def test_marks_on_pictures_come_as_web_annotations_of_the_files_beside_them(
    settings: Any, tmp_path: Path
) -> None:
    settings.MEDIA_ROOT = tmp_path / "media"
    bench = Bench()
    bench.record()
    folder = save(bench.report.museum_object, tmp_path / "bag").folder
    [file] = (folder / "data/marks").glob("*.jsonld")
    found = json.loads(file.read_text(encoding="utf-8"))
    [item] = found["first"]["items"]
    source = item["target"]["source"]["id"]
    assert (file.parent / unquote(source)).resolve().read_bytes() == picture_bytes(1000, 800)
    item["target"]["source"]["id"] = urljoin("https://package.example/data/marks/", source)
    assert broken_collection_rules(found) == []
