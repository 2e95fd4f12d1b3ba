"""A logger's file through its pages: columns, unit and clock asked, preview, worker, taken back."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse
from django.utils.timezone import now

from lifecycle.jobs.sweep import do_work
from lifecycle.process.stages import Role
from lifecycle.queries.light import account_of
from lifecycle.records.models import Instrument, LightLog, LightLogTakenBack, Place, Work, WorkState
from lifecycle.records.models.light import InstrumentKind
from tests.builders.core import make_face, make_place
from tests.builders.light import hang, make_case, make_meter, read_light
from tests.pages.signing_in import visitor

pytestmark = pytest.mark.django_db
FIRST = datetime(2026, 6, 2, tzinfo=UTC)


@pytest.fixture
def conservator() -> Client:
    return visitor(Role.CONSERVATOR)


@pytest.fixture
def case(conservator: Client) -> Place:
    case = make_case(name="Case N2")
    read_light(case, "48", FIRST - timedelta(days=3))
    return case


def quarter_hours(lux: str = "48", days: int = 2, shift: int = 0) -> list[str]:
    """Lines of a file whose light burns while the lamps of the builder do (09:00 to 17:00)."""
    lines = []
    for n in range(96 * days):
        moment = FIRST + timedelta(minutes=15 * n)
        lit = 9 <= (moment + timedelta(hours=shift)).hour < 17
        lines.append(f"{moment:%Y-%m-%d %H:%M},{lux if lit else '0'}")
    return lines


def brought(client: Client, case: Place, lines: list[str]) -> Work:
    file = SimpleUploadedFile("june.csv", "\n".join(["Time,Light", *lines]).encode())
    answer = client.post(reverse("light-log-new", args=[case.uid]), {"file": file})
    assert answer.status_code == 302, answer.content.decode()
    return Work.objects.order_by("-pk")[0]


def logger() -> Instrument:
    return make_meter(kind=InstrumentKind.LOGGER, name="Case logger", calibration_due=None)


def chosen(client: Client, work: Work, meter: Instrument, **values: Any) -> str:
    data = {
        "moment": "0", "clock": "", "day_first": "yes", "lux": "1", "unit": "lux", "uv": "",
        "zone": "UTC", "instrument": str(meter.uid), "point": "", **values,
    }  # fmt: skip
    return client.post(reverse("light-log", args=[work.uid]), data, follow=True).content.decode()


def press(client: Client, work: Work, deed: str, **data: str) -> str:
    answer = client.post(reverse("light-log-deed", args=[work.uid, deed]), data, follow=True)
    return answer.content.decode()


def test_from_the_file_to_the_record_and_back(conservator: Client, case: Place) -> None:
    lines = quarter_hours()
    lines[3] = lines[3].replace(",0", ",-4")
    work = brought(conservator, case, lines)
    page = conservator.get(reverse("light-log", args=[work.uid])).content.decode()
    assert "Unit of the light" in page
    assert "What would be kept" not in page
    unsaid = chosen(conservator, work, logger(), unit="", zone="", instrument="")
    assert unsaid.count("This field is required.") >= 3
    preview = chosen(conservator, work, logger())
    assert "Keep 191 samples" in preview
    assert "negative" in preview  # line 5 of the file, named
    assert not LightLog.objects.exists()
    press(conservator, work, "go-ahead")
    assert not LightLog.objects.exists()
    do_work(str(work.uid))
    log = LightLog.objects.get()
    assert (log.count, log.left_out, log.interval_minutes) == (191, 1, 15)
    assert log.samples[36] == [37 * 15, 480]  # 09:15: one line was left out before it
    result = conservator.get(reverse("light-log", args=[work.uid])).content.decode()
    assert "Samples kept: 191. Lines left out: 1." in result
    do_work(str(work.uid))
    assert LightLog.objects.count() == 1
    again = brought(conservator, case, lines)
    assert "speaks for" in chosen(conservator, again, logger())
    assert "take it back first" in press(conservator, again, "go-ahead")
    back = reverse("light-log-take-back", args=[log.uid])
    assert conservator.post(back, {"why": " "}).status_code == 200
    assert conservator.post(back, {"why": "Stood in another case."}).status_code == 302
    assert LightLogTakenBack.objects.get().log == log
    assert "taken back already" in conservator.post(back, {"why": "Twice."}).content.decode()
    assert "Keep 191 samples" in chosen(conservator, again, logger())
    listed = conservator.get(reverse("light-log-new", args=[case.uid])).content.decode()
    assert "Stood in another case." in listed


def test_the_account_follows_the_log_and_the_readings_again_once_it_is_taken_back(
    conservator: Client, case: Place
) -> None:
    face = make_face()
    hang(face, make_place(parent=case), opened_at=FIRST, closed_at=FIRST + timedelta(days=2))
    before = account_of(face, now()).spent.likely
    work = brought(conservator, case, quarter_hours("60"))
    chosen(conservator, work, logger())
    press(conservator, work, "go-ahead")
    do_work(str(work.uid))
    account = account_of(face, now())
    assert account.spent.likely > before
    assert "logged light" in {part.basis.label for part in account.lines[0].parts}
    log = LightLog.objects.get()
    conservator.post(reverse("light-log-take-back", args=[log.uid]), {"why": "Wrong case."})
    assert account_of(face, now()).spent.likely == before


def test_a_wrong_unit_or_clock_is_asked_about_once_and_kept_marked(
    conservator: Client, case: Place
) -> None:
    work = brought(conservator, case, quarter_hours("0.048", shift=-2))
    preview = chosen(conservator, work, logger())
    assert "or does the file write kilolux?" in preview
    assert "Look again; if it is right" in press(conservator, work, "go-ahead")
    early = chosen(conservator, work, logger(), unit="kilolux")
    assert "2 hours ahead of the one named?" in early
    work.refresh_from_db()
    assert work.state == WorkState.PREPARING
    right = chosen(conservator, work, logger(), unit="kilolux", zone="UTC+02:00")
    assert "kilolux?" not in right
    assert "hours ahead" not in right
    press(conservator, work, "go-ahead", sure="on")
    do_work(str(work.uid))
    assert LightLog.objects.get().confirmed_odd == ""
    other = brought(conservator, make_case(name="Case N3"), quarter_hours("0.048"))
    chosen(conservator, other, logger())
    press(conservator, other, "go-ahead", sure="on")
    do_work(str(other.uid))
    assert "Every sample is zero" in LightLog.objects.get(place__name="Case N3").confirmed_odd


def test_nothing_is_written_of_a_file_that_is_put_aside_stopped_or_no_table(
    conservator: Client, case: Place
) -> None:
    for deed in ("put-aside", "stop"):
        work = brought(conservator, case, quarter_hours())
        chosen(conservator, work, logger())
        if deed == "stop":
            press(conservator, work, "go-ahead")
        press(conservator, work, deed)
        do_work(str(work.uid))
        work.refresh_from_db()
        assert work.state == WorkState.STOPPED
    assert not LightLog.objects.exists()
    sent = {"file": SimpleUploadedFile("log.pdf", b"%PDF-1.7")}
    page = conservator.post(reverse("light-log-new", args=[case.uid]), sent).content.decode()
    assert "not a table but a PDF" in page
    assert visitor(Role.ATTENDANT).get(reverse("light-log-new", args=[case.uid])).status_code == 403


def test_the_database_keeps_the_span_of_a_log_in_order(conservator: Client, case: Place) -> None:
    work = brought(conservator, case, quarter_hours())
    chosen(conservator, work, logger())
    press(conservator, work, "go-ahead")
    do_work(str(work.uid))
    log = LightLog.objects.get()
    log.pk, log.uid, log.work_uid = None, case.uid, case.uid
    log.until_at = log.from_at
    with pytest.raises(IntegrityError), transaction.atomic():
        log.save(force_insert=True)
    with pytest.raises(TypeError):
        LightLog.objects.all().delete()
