"""Pages of a table of objects: columns, preview, words, go-ahead, result, taking back."""

from datetime import date
from io import BytesIO
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from openpyxl import Workbook
from openpyxl.utils.datetime import CALENDAR_MAC_1904

from lifecycle.exchange.tables.reading import read_table
from lifecycle.jobs.sweep import do_work
from lifecycle.process.stages import Role
from lifecycle.records.models import (
    Measure,
    MuseumObject,
    ObjectHazard,
    Organisation,
    Place,
    Word,
    Work,
    WorkState,
)
from tests.builders.object_table import Row, make_lists, sample, table_bytes, written
from tests.pages.signing_in import questions, visitor

pytestmark = pytest.mark.django_db
BRINGERS = (Role.REGISTRAR, Role.HEAD_OF_COLLECTIONS, Role.STEWARD)


@pytest.fixture(autouse=True)
def lists() -> None:
    make_lists()


def uploaded(client: Client, data: bytes, name: str = "objects.csv") -> Work:
    answer = client.post(
        reverse("objects-bring-in"), {"table": SimpleUploadedFile(name, data)}, follow=True
    )
    assert answer.status_code == 200
    return Work.objects.get()


def columns_chosen(client: Client, work: Work, **other: str) -> Any:
    keys = {f"column_{n}": key for n, key in enumerate(work.inputs["keys"])}
    return client.post(reverse("object-table-columns", args=[work.uid]), keys | other, follow=True)


def press(client: Client, work: Work, deed: str) -> Any:
    return client.post(reverse("object-table-deed", args=[work.uid, deed]), follow=True)


def test_from_upload_to_result_and_back() -> None:
    client = visitor(Role.REGISTRAR)
    lines = [*sample(12), {"object_number": "", "title": "Nobody knows"}]
    work = uploaded(client, table_bytes(lines))
    preview = columns_chosen(client, work).content.decode()
    assert "Bring in 12 new and 0 changed objects" in preview
    assert "There is no object number." in preview
    assert MuseumObject.objects.count() == 0
    assert press(client, work, "go-ahead").status_code == 200
    assert MuseumObject.objects.count() == 0
    do_work(str(work.uid))
    assert MuseumObject.objects.count() == 12
    result = client.get(reverse("object-table", args=[work.uid])).content.decode()
    assert "12 new, 0 changed, 0 unchanged, 1 line not taken." in result
    bad = client.get(reverse("object-table-lines", args=[work.uid, "csv"])).content
    read = read_table(bad, "bad.csv")
    assert read.headings == ("line", "object number", "reason")
    assert [cell.text for cell in read.lines[0].cells] == ["16", "", "There is no object number."]
    press(client, work, "take-back")
    do_work(str(Work.objects.exclude(pk=work.pk).get().uid))
    assert MuseumObject.objects.count() == 0
    done = client.get(reverse("object-table", args=[work.uid])).content.decode()
    assert "12 objects taken out" in done
    assert "taken back already" in press(client, work, "take-back").content.decode()


@pytest.mark.parametrize("role", list(Role))
def test_every_door_of_a_table_opens_for_those_who_bring_and_for_nobody_else(role: Role) -> None:
    work = uploaded(visitor(Role.REGISTRAR), table_bytes(sample(2)))
    client = visitor(role)
    here = [work.uid]
    pages = [
        reverse("objects-bring-in"),
        reverse("objects-template", args=["csv"]),
        reverse("object-table", args=here),
        reverse("object-table-columns", args=here),
        reverse("object-table-lines", args=[*here, "xlsx"]),
    ]
    wanted = 200 if role in BRINGERS else 403
    assert [client.get(page).status_code for page in pages] == [wanted] * len(pages)
    if role in BRINGERS:
        return
    doors = ["object-table-words", "object-table-columns"]
    assert [client.post(reverse(door, args=here)).status_code for door in doors] == [403, 403]
    for deed in ("go-ahead", "put-aside", "stop", "take-back"):
        address = reverse("object-table-deed", args=[*here, deed])
        assert client.post(address).status_code == 403
    work.refresh_from_db()
    assert work.state == WorkState.PREPARING


def answered(client: Client, work: Work, *answers: tuple[str, str, str]) -> Any:
    said: dict[str, str] = {}
    for n, (list_name, word, meaning) in enumerate(answers):
        said |= {f"list_{n}": list_name, f"word_{n}": word, f"meaning_{n}": meaning}
    return client.post(reverse("object-table-words", args=[work.uid]), said, follow=True)


def test_words_no_list_has_are_answered_once_and_their_lines_come_in() -> None:
    client = visitor(Role.STEWARD)
    lines: list[Row] = [
        {"object_number": f"HCM.{n}", "title": "Gauge", "object_type": "prent", **more}
        for n, more in enumerate(
            [
                {"materials": "slik; horn"},
                {"lender": "Quay House"},
                {"place": "Main Store > Bay 1 > Shelf 1b"},
                {"place": "Bay 9, Main Store"},
                {"place": "The Attic"},
                {"techniques": "etched; scraped", "place": "The Loft"},
            ]
        )
    ]
    work = uploaded(client, table_bytes(lines))
    preview = columns_chosen(client, work).content.decode()
    assert "before the words below are answered" in preview
    assert '<option value="print">print</option>' in preview
    after = answered(
        client,
        work,
        ("object type", "prent", "print"),
        ("material", "slik", "silk"),
        ("material", "horn", "add"),
        ("lender", "Quay House", "add"),
        ("place", "Main Store > Bay 1 > Shelf 1b", "add"),
        ("place", "Bay 9, Main Store", "add"),
        ("technique", "scraped", "without"),
        ("place", "The Loft", "without"),
    ).content.decode()
    assert "Bring in 5 new" in after
    assert "The Attic" in after
    assert Word.objects.filter(label="horn").exists()
    assert Organisation.objects.filter(name="Quay House", kind="lender").exists()
    kinds = Place.objects.filter(name__in=("Shelf 1b", "Bay 9")).values_list("name", "kind")
    assert sorted(kinds) == [("Bay 9", "bay"), ("Shelf 1b", "shelf")]
    press(client, work, "go-ahead")
    do_work(str(work.uid))
    first = MuseumObject.objects.get(object_number="HCM.0")
    assert sorted(word.label for word in first.materials.all()) == ["horn", "silk"]
    last = MuseumObject.objects.get(object_number="HCM.5")
    assert [word.label for word in last.techniques.all()] == ["etched"]
    assert last.normal_location is None


def test_a_hazard_by_another_name_is_answered_and_never_left_out_or_called_none() -> None:
    client = visitor(Role.STEWARD)
    line = {"object_number": "1", "title": "A", "object_type": "print"}
    work = uploaded(client, table_bytes([line | {"hazards": "sublimate (suspected): gloves"}]))
    columns_chosen(client, work)
    for meaning in ("none known", "not assessed", "without", "add"):
        client.raise_request_exception = False
        answered(client, work, ("hazard", "sublimate", meaning))
        work.refresh_from_db()
        assert work.inputs["meanings"] == [], meaning
    answered(client, work, ("hazard", "sublimate", "mercury salts"))
    press(client, work, "go-ahead")
    do_work(str(work.uid))
    found = ObjectHazard.objects.get(museum_object__object_number="1")
    assert (found.hazard, found.evidence, found.protection) == (
        "mercury_salts", "suspected", "gloves",
    )  # fmt: skip


def test_a_unit_in_a_heading_counts_for_its_cells_and_a_unit_in_a_cell_before_it() -> None:
    rows = ["number;name;kind;Height (cm);width in cm;Weight kg;depth closed [cm]"]
    rows += ["1;A;print;31.2;20 mm;1.5;4"]
    client = visitor(Role.REGISTRAR)
    work = uploaded(client, "\n".join(rows).encode())
    assert work.inputs["keys"][3:] == [
        "size:closed:height", "size:closed:width", "weight", "size:closed:depth",
    ]  # fmt: skip
    columns_chosen(client, work)
    press(client, work, "go-ahead")
    do_work(str(work.uid))
    size = Measure.objects.get()
    assert [size.height_mm, size.width_mm, size.depth_mm] == [312, 20, 40]
    assert MuseumObject.objects.get().weight_g == 1500


def test_a_registrar_maps_words_and_leaves_vocabularies_to_the_steward() -> None:
    client = visitor(Role.REGISTRAR)
    work = uploaded(
        client, table_bytes([{"object_number": "1", "title": "A", "object_type": "prent"}])
    )
    preview = columns_chosen(client, work).content.decode()
    assert "as a new word" not in preview
    client.raise_request_exception = False
    address = reverse("object-table-words", args=[work.uid])
    said = {"list_1": "object type", "word_1": "prent", "meaning_1": "add"}
    assert client.post(address, said).status_code == 403
    assert not Word.objects.filter(label="prent").exists()


def test_bad_columns_stand_beside_their_field_and_nothing_chosen_is_lost() -> None:
    client = visitor(Role.REGISTRAR)
    work = uploaded(client, table_bytes(sample(1)))
    answer = columns_chosen(client, work, column_1="object_number").content.decode()
    assert "is taken as object number already" in answer
    assert '<option value="object_number" selected>' in answer
    assert client.get(reverse("object-table", args=[work.uid])).status_code == 200


def test_a_file_that_is_no_table_is_refused_beside_the_field() -> None:
    client = visitor(Role.REGISTRAR)
    sent = {"table": SimpleUploadedFile("list.csv", b"<html><table></table></html>")}
    answer = client.post(reverse("objects-bring-in"), sent).content.decode()
    assert "is not a table but a web page" in answer
    assert not Work.objects.exists()


def test_a_sheet_is_chosen_by_name() -> None:
    client = visitor(Role.REGISTRAR)
    work = uploaded(client, two_sheets(), "book.xlsx")
    address = reverse("object-table-columns", args=[work.uid])
    assert "there is also “Objects”" in client.get(address).content.decode()
    client.post(address, {"sheet": "Objects"})
    work.refresh_from_db()
    assert work.inputs["keys"] == ["object_number", "title", "object_type"]


def two_sheets() -> bytes:
    book = Workbook()
    assert book.active is not None
    book.active.append(["Notes", "of mine"])
    book.active.append(["a", "b"])
    more = book.create_sheet("Objects")
    more.append(["object number", "title", "object type"])
    more.append(["HCM.1", "Gauge", "print"])
    out = BytesIO()
    book.save(out)
    return out.getvalue()


@pytest.mark.parametrize("letters", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_letters_of_other_machines_come_in_right_and_are_told_where_inferred(letters: str) -> None:
    client = visitor(Role.REGISTRAR)
    data = "object number;title;object type\r\nHCM.1;Café in the Rain;print\r\n".encode(letters)
    work = uploaded(client, data)
    preview = columns_chosen(client, work).content.decode()
    assert "Bring in 1 new" in preview
    assert ("Read as Windows-1252" in preview) == (letters == "cp1252")
    press(client, work, "go-ahead")
    do_work(str(work.uid))
    assert MuseumObject.objects.get().title == "Café in the Rain"


def test_a_workbook_of_two_hundred_columns_with_traps_comes_in_by_its_sound_lines() -> None:
    client = visitor(Role.REGISTRAR)
    book = Workbook()
    page = book.active
    assert page is not None
    page.append(["Inv. no.", "Title", "Type", "Date", *(f"Extra {n}" for n in range(196))])
    page.append(["HCM.1", "Gauge", "print", date(1908, 12, 1), *range(196)])
    page.append(["HCM.2", "=A2", "print"])
    page.append(["HCM.3", "#N/A", "print"])
    page["B4"].data_type = "e"
    page.append(["HCM.4", "Two", "print"])
    page.merge_cells("B5:C5")
    page.append([1908.1, "Three", "print"])
    book.epoch = CALENDAR_MAC_1904
    out = BytesIO()
    book.save(out)
    work = uploaded(client, out.getvalue(), "book.xlsx")
    assert work.inputs["keys"][:4] == ["object_number", "title", "object_type", "date"]
    assert not any(work.inputs["keys"][4:])
    preview = columns_chosen(client, work).content.decode()
    for says in (
        "B3 holds a formula without a stored result",
        "B4 holds an error",
        "merged across columns",
        "noughts at its end",
    ):
        assert says in preview
    press(client, work, "go-ahead")
    do_work(str(work.uid))
    one = MuseumObject.objects.get()
    assert (one.object_number, one.date_text) == ("HCM.1", "1908-12-01")


def test_the_template_reads_back_as_our_columns() -> None:
    client = visitor(Role.STEWARD)
    for kind in ("csv", "xlsx"):
        data = client.get(reverse("objects-template", args=[kind])).content
        work = uploaded(client, data, f"template.{kind}")
        assert all(work.inputs["keys"])
        assert len(set(work.inputs["keys"])) == len(work.inputs["keys"])
        work.delete()


def test_a_preview_asks_no_more_for_more_lines() -> None:
    client = visitor(Role.REGISTRAR)
    asked = []
    for count in (4, 40):
        work = uploaded(client, table_bytes(sample(count)))
        asked.append(questions(client, reverse("object-table", args=[work.uid])))
        Work.objects.all().delete()
    assert asked[0] == asked[1]


def test_a_restriction_on_record_is_shown_to_those_who_may_read_it_alone() -> None:
    written(
        [{"object_number": "1", "title": "A", "object_type": "print", "restricted": "men only"}]
    )
    lines: list[Row] = [{"object_number": "1", "restricted": "elders only"}]
    for role, seen in ((Role.REGISTRAR, True), (Role.STEWARD, False)):
        client = visitor(role)
        Work.objects.all().delete()
        work = uploaded(client, table_bytes(lines))
        preview = columns_chosen(client, work).content.decode()
        assert "elders only" in preview
        assert ("men only" in preview) == seen
        assert ("not shown to your role" in preview) != seen


def test_a_table_put_aside_wrote_nothing() -> None:
    client = visitor(Role.REGISTRAR)
    work = uploaded(client, table_bytes(sample(2)))
    assert "nothing was written" in press(client, work, "put-aside").content.decode()
    work.refresh_from_db()
    assert work.state == WorkState.STOPPED
    assert MuseumObject.objects.count() == 0
    assert "already" in press(client, work, "go-ahead").content.decode()
