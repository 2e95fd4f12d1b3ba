"""Pages of a table of objects: columns, preview, words, go-ahead, result, taking back."""

from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from lifecycle.exchange.tables.reading import read_table
from lifecycle.jobs.sweep import do_work
from lifecycle.process.stages import Role
from lifecycle.records.models import MuseumObject, Work
from tests.builders.object_table import make_lists, sample, table_bytes
from tests.pages.signing_in import visitor

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
    assert "12 new, 0 changed, 0 unchanged, 1 lines not taken." in result
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
