"""Delivered files: each is the one its checksum says, or nothing is kept; who needs them accepts.

Outside check: the SHA-256 of the empty message and of 'abc' are those of FIPS 180-4's examples
(from memory); files are held to `hashlib`, another reading of the same bytes.
"""

import hashlib
from datetime import date
from decimal import Decimal
from io import BytesIO
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from lifecycle.actions.preparation.delivering import Delivery, deliver_files
from lifecycle.actions.preparation.imaging import accept_pictures
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.exchange.checksums import BadChecksums, read_checksums, sha256_of
from lifecycle.process.stages import Role
from lifecycle.queries.worked_back import facsimile_needed, mount_needed, schedule_of
from lifecycle.records.models import FaceWanted, LightEntry, Picture
from lifecycle.records.models.preparation import ImagingFile, ImagingJob, Target
from tests.builders.core import AT, kept_by, make_person
from tests.builders.preparation import Workshop
from tests.builders.treatment import HOUR

BLINDING = {"flashes": 1, "flash_lux_s": Decimal(1_000_001)}
pytestmark = pytest.mark.django_db


@pytest.fixture
def shop() -> Workshop:
    return Workshop()


def shot(name: str = "b.png", colour: str = "white") -> SimpleUploadedFile:
    out = BytesIO()
    Image.new("RGB", (40, 30), colour).save(out, "PNG")
    return SimpleUploadedFile(name, out.getvalue())


def digest(sent: SimpleUploadedFile) -> str:
    sent.seek(0)
    return hashlib.sha256(sent.read()).hexdigest()


def send(shop: Workshop, job: ImagingJob, *files: SimpleUploadedFile, **said: Any) -> ImagingJob:
    values: dict[str, Any] = {
        "taken_at": AT + HOUR,
        "lit_minutes": Decimal(6),
        "lit_lux": 600,
        "in_frame": tuple(Target),
    } | said
    return deliver_files(
        **shop.by(shop.ada, Role.PHOTOGRAPHER, after=2),
        job=job,
        files=files,
        delivery=Delivery(**values),
    )


def test_a_checksum_is_that_of_the_published_examples() -> None:
    assert sha256_of(b"").startswith("e3b0c442 98fc1c14 9afbf4c8".replace(" ", ""))
    assert sha256_of(b"abc").startswith("ba7816bf 8f01cfea 414140de".replace(" ", ""))


def test_files_that_are_their_checksums_are_kept_with_them(shop: Workshop) -> None:
    one, other = shot(), shot("c.png", "grey")
    lines = f"{digest(one)}  b.png\n{digest(other).upper()} *shots/c.png\n"
    send(shop, shop.job(), one, other, checksums=lines)
    kept = dict(ImagingFile.objects.values_list("picture__name", "said_sha256"))
    assert kept == {"b.png": digest(one), "c.png": digest(other)}
    assert LightEntry.objects.get().likely_lx_h == 60


def test_a_file_that_is_not_its_checksum_keeps_nothing_of_the_delivery(shop: Workshop) -> None:
    good, bad = shot(), shot("c.png", "grey")
    lines = f"{digest(good)}  b.png\n{'0' * 64}  c.png"
    with pytest.raises(Refused, match=r"c\.png is not the file that was checked") as refused:
        send(shop, shop.job(), good, bad, checksums=lines)
    assert [reason.field for reason in refused.value.reasons] == ["checksums"]
    assert not Picture.objects.exists()
    assert not LightEntry.objects.exists()


@pytest.mark.parametrize(
    "text",
    ["abc  b.png", f"{'0' * 64}  other.png", f"{'0' * 64}\n{'1' * 64}", f"{'g' * 64}  b.png"],
)
def test_lines_that_say_nothing_about_a_file_are_refused(text: str) -> None:
    with pytest.raises(BadChecksums):
        read_checksums(text, ["b.png"])


def test_several_files_are_told_apart_by_name() -> None:
    with pytest.raises(BadChecksums, match="names no file"):
        read_checksums("0" * 64, ["b.png", "c.png"])
    assert read_checksums("A" * 64, ["b.png"]) == {"b.png": "a" * 64}


def test_the_same_file_is_not_delivered_twice(shop: Workshop) -> None:
    job = shop.job()
    send(shop, job, shot())
    with pytest.raises(Refused, match="was delivered for"):
        send(shop, job, shot("again.png"))
    with pytest.raises(Refused, match="was delivered for"):
        send(shop, shop.job(), shot(), shot("twin.png"))
    assert Picture.objects.count() == 1


def test_a_refused_delivery_leaves_no_picture_behind(shop: Workshop) -> None:
    with pytest.raises(Refused, match="light without minutes"):
        send(shop, shop.job(), shot(), lit_minutes=Decimal(0))
    with pytest.raises(Refused, match="at least one picture"):
        send(shop, shop.job())
    assert not Picture.objects.exists()


def test_a_stranger_delivers_nothing(shop: Workshop) -> None:
    with pytest.raises(NotAllowed):
        deliver_files(
            **shop.by(make_person(Role.PHOTOGRAPHER), Role.PHOTOGRAPHER),
            job=shop.job(),
            files=[SimpleUploadedFile("x.png", b"not even a picture is read")],
            delivery=Delivery(taken_at=AT, lit_minutes=Decimal(1), lit_lux=1),
        )
    assert not Picture.objects.exists()


def test_a_target_that_was_asked_for_is_in_the_frame_or_the_job_says_why(shop: Workshop) -> None:
    job, there = shop.job(), (Target.OBJECT_NUMBER, Target.SCALE)
    with pytest.raises(Refused, match="not in the frame: colour, grey") as refused:
        send(shop, job, shot(), in_frame=there, not_in_frame_why=" ")
    assert [reason.field for reason in refused.value.reasons] == ["not_in_frame_why"]
    assert not Picture.objects.exists()
    kept = send(shop, job, shot(), in_frame=there, not_in_frame_why="Strips were out on loan.")
    assert (kept.not_in_frame, kept.not_in_frame_why) == (
        "colour, grey",
        "Strips were out on loan.",
    )
    assert Picture.objects.get().scale_present
    again = send(shop, job, shot("c.png", "grey"), not_in_frame_why="Not needed.")
    assert (again.not_in_frame, again.not_in_frame_why) == ("", "")


def test_what_was_not_asked_for_need_not_be_in_the_frame(shop: Workshop) -> None:
    job = shop.job()
    job.target_colour = job.target_grey = False
    job.keep(**kept_by())
    assert not send(shop, job, shot(), in_frame=(Target.OBJECT_NUMBER, Target.SCALE)).not_in_frame


def test_flashes_are_counted_and_charged_beside_the_lamps(shop: Workshop) -> None:
    """40 flashes of 90 lx·s are 3,600 lx·s, which is 1 lx·h; 600 lx for 6 min are 60 lx·h."""
    kept = send(shop, shop.job(), shot(), flashes=40, flash_lux_s=Decimal(90))
    assert (kept.flashes, kept.lux_hours) == (40, Decimal("61.0"))
    entry = LightEntry.objects.get()
    assert entry.likely_lx_h == 61
    assert "600 lx for 6 min and 40 flashes of 90 lx·s" in entry.basis


def test_flash_alone_is_charged_too_and_needs_its_light(shop: Workshop) -> None:
    job, dark = shop.job(), {"lit_minutes": Decimal(0), "lit_lux": 0}
    for flash in ({"flashes": 3}, {"flash_lux_s": Decimal(9)}, {"flashes": -1}, BLINDING):
        with pytest.raises(Refused):
            send(shop, job, shot(), **dark, **flash)
    send(shop, job, shot(), **dark, flashes=1, flash_lux_s=Decimal(36))
    entry = LightEntry.objects.get()
    assert (entry.likely_lx_h, entry.basis.endswith(": 1 flash of 36 lx·s")) == (
        Decimal("0.01"),
        True,
    )


def test_light_of_every_delivery_counts_to_the_tenth_of_a_minute(shop: Workshop) -> None:
    """0.4 min at 1,500 lx are 10 lx·h by definition; rounded minutes would have made it none."""
    job = shop.job()
    send(shop, job, shot(), lit_minutes=Decimal("0.4"), lit_lux=1500)
    again = send(shop, job, shot(colour="grey"), lit_minutes=Decimal(6), lit_lux=600)
    assert again.lux_hours == 70
    assert sorted(LightEntry.objects.values_list("likely_lx_h", flat=True)) == [10, 60]


def test_somebody_else_accepts_only_with_a_reason(shop: Workshop) -> None:
    job = shop.job(for_whom=shop.wen)
    send(shop, job, shot())
    with pytest.raises(Refused, match=r"Wen Castellane needs the pictures") as refused:
        accept_pictures(**shop.conservator(after=3), job=job)
    assert refused.value.reasons[0].field == "instead_because"
    kept = accept_pictures(**shop.conservator(after=3), job=job, instead_because="Wen is ill.")
    assert kept.accepted_by == shop.marit
    said = kept.history.order_by("-history_id")[0].history_change_reason
    assert said == "pictures accepted instead of Wen Castellane: Wen is ill."


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"size_mm": "-5 × 10"}, "size_mm"),
        ({"limit_minutes": Decimal(-1)}, "limit_minutes"),
        ({"limit_lux": 0}, "limit_lux"),
    ],
)
def test_a_job_with_impossible_figures_is_refused(
    shop: Workshop, values: dict[str, Any], field: str
) -> None:
    with pytest.raises(Refused) as refused:
        shop.job(**values)
    assert [reason.field for reason in refused.value.reasons] == [field]
    assert not ImagingJob.objects.exists()


def test_who_takes_the_pictures_does_not_judge_them(shop: Workshop) -> None:
    with pytest.raises(Refused, match="does not accept them"):
        shop.job(for_whom=shop.ada)


def test_a_day_that_nobody_names_is_worked_back_from_the_plan(shop: Workshop) -> None:
    opens, turn = date(2026, 3, 14), date(2026, 6, 8)
    shop.showing.show_from = opens
    shop.showing.keep(**kept_by())
    for order, (face, day) in enumerate(((shop.a, opens), (shop.b, turn)), start=1):
        FaceWanted(
            showing=shop.showing, face=face, order=order, from_on=day, until_on=shop.showing.show_to
        ).keep(**kept_by())
    assert shop.job(due_on=None).due_on == date(2026, 1, 26)  # 25 working days before 2 March
    copy, support = shop.facsimile(face=shop.a), shop.mount(shop.b, measured=False)
    plan = schedule_of(shop.showing, AT)
    assert facsimile_needed(copy, plan).on == date(2026, 5, 18)
    assert mount_needed(support, [shop.b.pk], plan).on == date(2026, 5, 18)


def test_a_day_that_nobody_named_goes_with_the_plan_and_a_named_one_stays(shop: Workshop) -> None:
    for order, (face, day) in enumerate(((shop.a, 2), (shop.b, 8)), start=1):
        FaceWanted(
            showing=shop.showing,
            face=face,
            order=order,
            from_on=date(2026, 6, day),
            until_on=shop.showing.show_to,
        ).keep(**kept_by())
    support = shop.mount(shop.b, measured=False)
    asked = shop.mount(shop.b, measured=False)
    asked.needed_by = date(2026, 4, 1)
    turn = FaceWanted.objects.get(face=shop.b)
    turn.from_on = date(2026, 6, 15)
    turn.keep(**kept_by())
    plan = schedule_of(shop.showing, AT)
    assert mount_needed(support, [shop.b.pk], plan).on == date(2026, 5, 25)
    named = mount_needed(asked, [shop.b.pk], plan)
    assert named.on == date(2026, 4, 1)
    assert named.because.startswith("By the plan it is Mon 25 May 2026.")


def test_without_a_plan_the_day_is_asked_for(shop: Workshop) -> None:
    with pytest.raises(Refused, match="name the day") as refused:
        shop.job(due_on=None)
    assert refused.value.reasons[0].field == "due_on"
