"""Tickets that travel with an object: their words, and the rows they are printed from."""

from datetime import timedelta
from typing import Any

from lifecycle.papers.words.parts import BlockO
from lifecycle.papers.words.tickets import ImagingTicketWords, MountTicketWords
from lifecycle.process.stages import Role
from lifecycle.records.models import MuseumObject, Vocabulary
from lifecycle.records.models.preparation import ImagingJob, ImagingPurpose, Mount, MountFace
from tests.builders.core import AT, DAY, kept_by, make_face, make_person, make_word
from tests.builders.papers_out import DIARY, INSTITUTION


def mount_ticket_words(about: BlockO = DIARY) -> MountTicketWords:
    return MountTicketWords(
        institution=INSTITUTION,
        about=about,
        mount_no="MT-0031",
        kind="cradle",
        faces=("ff. 31v-32r",),
        maker="Rufus Tiller",
        needed_by="Fri 20 February 2026",
        because="ff. 31v-32r is installed on Saturday 14 March 2026; the fit is checked 21 days "
        "before.",
        measured="from the object, 2 February 2026 10:00, Rufus Tiller",
        angle="95°",
        widest="100°",
        openings="142 and 138 mm",
        gutter="6.5 mm",
        contact="Both boards, spine free.",
        restraint="Two strips of polyester, below the text.",
        removable="yes",
        materials=("mount board, batch 4: accepted list",),
        steps=("Slide the cradle in from the front.", "Lay the left board down first."),
        goes_back="no",
    )


def imaging_ticket_words(about: BlockO = DIARY) -> ImagingTicketWords:
    return ImagingTicketWords(
        institution=INSTITUTION,
        about=about,
        job_no="IM-0012",
        purpose="facsimile master",
        because="The facsimile of ff. 88v-89r.",
        due="Mon 9 February 2026",
        needed_by="Wen Castellane",
        photographer="Ada Kestrel",
        handler="Marit Oldacre",
        size="210 × 297 mm",
        resolution="600 ppi",
        targets="object number, scale, colour, grey",
        light="diffuse, UV filtered",
        position="cradle",
        limit="5 minutes, 600 lx",
        widest="100°",
    )


def make_mount(thing: MuseumObject, **values: Any) -> Mount:
    """A mount ticket as it is opened, for the object's first face."""
    values.setdefault("mount_no", f"MT-{Mount.objects.count() + 1:04d}")
    values.setdefault("kind", make_word(Vocabulary.MOUNT_KIND, "cradle"))
    if "asked_by" not in values:
        values["asked_by"] = make_person(Role.CONSERVATOR)
    row = Mount(museum_object=thing, asked_at=AT, **values).keep(**kept_by())
    face = thing.faces.order_by("order", "pk").first() or make_face(thing)
    MountFace(mount=row, face=face).keep(**kept_by())
    return row


def make_job(thing: MuseumObject, **values: Any) -> ImagingJob:
    """An imaging job as it is asked for, of the object's first face."""
    values.setdefault("job_no", f"IM-{ImagingJob.objects.count() + 1:04d}")
    values.setdefault("purpose", ImagingPurpose.PUBLICATION)
    values.setdefault("resolution_ppi", 600)
    values.setdefault("due_on", DAY + timedelta(days=10))
    values.setdefault("needed_because", "The catalogue.")
    if "asked_by" not in values:
        values["asked_by"] = make_person(Role.CURATOR)
    face = thing.faces.order_by("order", "pk").first() or make_face(thing)
    return ImagingJob(face=face, asked_at=AT, **values).keep(**kept_by())
