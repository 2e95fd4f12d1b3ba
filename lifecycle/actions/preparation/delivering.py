"""Files of an imaging job as they are sent: each held to its checksum, then kept, then charged."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any, Protocol

from django.db import transaction

from lifecycle.actions.pictures import receive_picture, store_picture
from lifecycle.actions.preparation.imaging import about_job, deliver_pictures
from lifecycle.actions.preparation.rights import allow_one_of
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.exchange.checksums import BadChecksums, read_checksums, sha256_of
from lifecycle.exchange.pictures.reading import CheckedPicture
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.process.words import LightKind
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import PicturePurpose
from lifecycle.records.models.preparation import ImagingJob, Target


class Sent(Protocol):
    """A file as a form hands it over."""

    @property
    def name(self) -> str | None: ...

    @property
    def file(self) -> Any: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    """What is said with the files. Light in minutes and lx, of each flash in lx·s, depth in bits
    per channel.

    ``checksums`` is what `sha256sum` writes, one file a line; a file may go without.
    """

    taken_at: datetime
    lit_minutes: Decimal
    lit_lux: int
    handler: Person | None = None
    in_frame: Collection[Target] = ()
    not_in_frame_why: str = ""
    flashes: int = 0
    flash_lux_s: Decimal = Decimal(0)
    bit_depth: int | None = None
    colour_profile: str = ""
    checksums: str = ""


def deliver_files(
    *,
    by: Person,
    role: Role,
    at: datetime,
    job: ImagingJob,
    files: Sequence[Sent],
    delivery: Delivery,
) -> ImagingJob:
    """Deliver the files of a job, all or none.

    :raises NotAllowed: before anything is read
    :raises Refused: beside its field: a file is not the one its checksum says, is no picture, or
        came twice; or what `deliver_pictures` refuses
    """
    allow_one_of(by=by, role=role, deeds=(Deed.PREPARE,), at=at, about=about_job(job))
    said = _said(files, delivery.checksums)
    if reasons := list(_mismatches(files, said)):
        raise Refused(reasons)
    # Reading takes seconds for big files, so it is done before the transaction begins.
    read = [(_name(sent), receive_picture(sent.file)) for sent in files]
    if reasons := list(_came_before(job, read)):
        raise Refused(reasons)
    return _keep(by, role, at, job, read, said, delivery)


def _name(sent: Sent) -> str:
    return (sent.name or "picture").replace("\\", "/").rsplit("/", 1)[-1]


def _said(files: Sequence[Sent], text: str) -> Mapping[str, str]:
    if not files:
        return {}
    try:
        return read_checksums(text, [_name(sent) for sent in files])
    except BadChecksums as bad:
        raise Refused(Reason(str(bad), "checksums", "imaging.checksums")) from bad


def _mismatches(files: Sequence[Sent], said: Mapping[str, str]) -> Iterator[Reason]:
    for sent in files:
        wanted = said.get(_name(sent))
        if wanted is not None and (found := sha256_of(sent.file)) != wanted:
            yield Reason(
                f"{_name(sent)} is not the file that was checked: its checksum is {found[:10]}…, "
                f"not {wanted[:10]}…. Nothing is kept; send the file again.",
                "checksums",
                "imaging.checksum",
            )


def _came_before(job: ImagingJob, read: Sequence[tuple[str, CheckedPicture]]) -> Iterator[Reason]:
    there = set(job.files.values_list("picture__sha256", flat=True))
    for name, checked in read:
        if checked.sha256 in there:
            text = f"{name} was delivered for {job.job_no} already."
            yield Reason(text, "picture", "imaging.twice")
        there.add(checked.sha256)


@transaction.atomic
def _keep(
    by: Person,
    role: Role,
    at: datetime,
    job: ImagingJob,
    read: Sequence[tuple[str, CheckedPicture]],
    said: Mapping[str, str],
    delivery: Delivery,
) -> ImagingJob:
    pictures, checksums = [], {}
    for name, checked in read:
        picture = store_picture(
            data=checked,
            name=name,
            purpose=PicturePurpose(job.purpose),
            by=by,
            role=role,
            at=at,
            face=job.face,
            light=LightKind(job.light),
            scale_present=Target.SCALE in delivery.in_frame,
            taken_at=delivery.taken_at,
            taken_by=by,
        )
        pictures.append(picture)
        if name in said:
            checksums[picture.pk] = said[name]
    return deliver_pictures(
        by=by,
        role=role,
        at=at,
        job=job,
        pictures=pictures,
        lit_minutes=delivery.lit_minutes,
        lit_lux=delivery.lit_lux,
        in_frame=delivery.in_frame,
        not_in_frame_why=delivery.not_in_frame_why,
        flashes=delivery.flashes,
        flash_lux_s=delivery.flash_lux_s,
        handler=delivery.handler,
        bit_depth=delivery.bit_depth,
        colour_profile=delivery.colour_profile,
        checksums=checksums,
    )
