"""The check of kept files finds what is missing and what was changed, in chunks."""

import hashlib
from typing import Any

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import connection
from django.utils.timezone import now

from lifecycle.jobs import sweep
from lifecycle.queries.integrity import faults, how_many
from lifecycle.queries.pictures import document_path, picture_path
from lifecycle.records.models import Document, WorkState
from lifecycle.records.triggers import lift_triggers, make_triggers
from tests.builders.condition import make_picture, make_signed
from tests.builders.core import kept_by
from tests.builders.work import make_work

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def store(settings: Any, tmp_path: Any) -> None:
    settings.MEDIA_ROOT = tmp_path


def kept(name: str, data: bytes = b"%PDF-1.7 agreement") -> Document:
    digest = hashlib.sha256(data + name.encode()).hexdigest()
    default_storage.save(
        document_path(digest, "application/pdf"), ContentFile(data + name.encode())
    )
    return Document(
        sha256=digest,
        name=name,
        mime="application/pdf",
        size_bytes=len(data),
        title=name,
        entered_at=now(),
    ).keep(**kept_by())


def test_files_as_they_were_kept_give_no_fault() -> None:
    kept("a.pdf")
    work = make_work(at=now())
    sweep.do_work(str(work.uid))
    work.refresh_from_db()
    assert (work.state, work.findings, work.done) == (WorkState.DONE, [], 1)
    assert work.doing == "1 records and files checked, 0 faults."


def test_a_missing_and_a_changed_file_are_found(settings: Any) -> None:
    lost, changed = kept("lost.pdf"), kept("changed.pdf")
    default_storage.delete(document_path(lost.sha256, lost.mime))
    path = settings.MEDIA_ROOT / document_path(changed.sha256, changed.mime)
    path.write_bytes(b"something else")
    work = make_work(at=now())
    sweep.do_work(str(work.uid))
    work.refresh_from_db()
    assert work.findings == [
        f"Scan “lost.pdf” (#{lost.pk}): its file is missing from the store.",
        f"Scan “changed.pdf” (#{changed.pk}): its file is no longer what was kept.",
    ]


def test_signed_records_and_pictures_are_in_the_check_too(settings: Any) -> None:
    report, picture = make_signed(), make_picture()
    at = now()
    assert list(faults(at=at, start=0, most=how_many(at=at))) == []
    path = settings.MEDIA_ROOT / picture_path(picture.sha256, "original", picture.mime)
    path.write_bytes(path.read_bytes() + b"!")
    lift_triggers(connection)
    try:
        with connection.cursor() as cursor:
            cursor.execute("UPDATE records_conditionreport SET digest = 'f'")
    finally:
        make_triggers(connection)
    found = list(faults(at=at, start=0, most=how_many(at=at)))
    assert f"{report.report_no} version 1: the kept words" in found[0]
    assert found[-1] == (
        f"Picture “{picture.name}” (#{picture.pk}): its file is no longer what was kept."
    )


def test_a_check_taken_up_again_goes_on_where_it_was(monkeypatch: pytest.MonkeyPatch) -> None:
    for number in range(5):
        kept(f"{number}.pdf")
    at = now()
    monkeypatch.setattr(sweep, "CHUNK", 2)
    work = make_work(at=at, done=2)
    asked: list[int] = []

    def noted(*, at: Any, start: int, most: int) -> list[str]:
        asked.append(start)
        return faults(at=at, start=start, most=most)

    monkeypatch.setattr(sweep, "faults", noted)
    sweep.do_work(str(work.uid))
    assert asked == [2, 4]


def test_what_is_kept_after_the_check_was_asked_for_is_not_in_it() -> None:
    kept("a.pdf")
    at = now()
    kept("b.pdf")
    assert how_many(at=at) == 1
