"""The file of one object, as a package finds it: reports, papers, light, pictures, scans."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from lifecycle.actions.condition.sign import correct_report
from lifecycle.actions.package.asking import Subject, order_of
from lifecycle.actions.package.notes import Notes
from lifecycle.actions.package.saving import Saved, Saving
from lifecycle.actions.papers_out.returning import Return, mark_back
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import HoldKind
from lifecycle.records.models import (
    ConditionReport,
    CopyWord,
    Face,
    Hold,
    Loan,
    MuseumObject,
    Organisation,
    Person,
    Print,
    Showing,
)
from tests.builders.condition import make_signed, picture_bytes, sign_as_author
from tests.builders.core import (
    AT,
    DAY,
    kept_by,
    make_exhibition,
    make_face,
    make_museum,
    make_object,
    make_person,
    make_showing,
)
from tests.builders.light import hang, make_case, read_light
from tests.builders.printing import printed

NUMBER = "HCM.1908.12"
TITLE = "Weather diary of Hester Plym, 1741–69"
CONTACT = "Telephone of the lender's house: 01632 960 001"
INSURANCE = "Policy RAIN-77-4411"


@dataclass(frozen=True)
class Diary:
    """What stands on record about the weather diary."""

    museum_object: MuseumObject
    face: Face
    showing: Showing
    marit: Person
    first: ConditionReport
    second: ConditionReport
    paper_of_first: Print
    paper_of_second: Print
    form: Print
    scanned: Print


def make_diary() -> Diary:
    """The diary with a signed report and its correction, both printed; shown, read, returned."""
    make_museum()
    marit = make_person(Role.CONSERVATOR, name="Marit Oldacre")
    thing = make_object(object_number=NUMBER, title=TITLE)
    face = make_face(thing, label="ff. 31v–32r")
    exhibition = make_exhibition(title="Rain by Noon")
    place = make_case(name="N1")
    showing = make_showing(
        museum_object=thing, exhibition=exhibition, place=place, exhibition_number="1"
    )
    first = make_signed(thing, by=marit, at=AT - timedelta(days=40), showing=showing)
    paper_of_first = _print(first, AT - timedelta(days=39), CopyWord.SIGNED_COPY)
    draft = correct_report(
        report=first,
        note="The tear is longer than was written.",
        by=marit,
        role=Role.CONSERVATOR,
        at=AT - timedelta(days=30),
    )
    second = sign_as_author(draft, by=marit, at=AT - timedelta(days=30))
    paper_of_second = _print(second, AT - timedelta(days=29), CopyWord.SIGNED_COPY)
    _show(showing, face)
    form = _print(showing, AT - timedelta(days=10), CopyWord.TO_SIGN)
    scanned = _print(showing, AT - timedelta(days=9), CopyWord.TO_SIGN)
    _bring_back(scanned, marit)
    return Diary(
        thing, face, showing, marit, first, second, paper_of_first, paper_of_second, form, scanned
    )


def _print(record: ConditionReport | Showing, at: datetime, copy: CopyWord) -> Print:
    return printed(record, at=at, copy_word=copy)


def _show(showing: Showing, face: Face) -> None:
    place = showing.place
    assert place is not None
    hang(
        face,
        place,
        opened_at=AT - timedelta(days=28),
        closed_at=AT - timedelta(days=5),
        showing=showing,
    )
    for days, lux in ((27, "44"), (14, "46.5")):
        read_light(place, lux, AT - timedelta(days=days))
    read_light(place, "180", AT - timedelta(days=2))  # after the diary had left the case


def _bring_back(row: Print, by: Person) -> None:
    mark_back(
        by=by,
        role=Role.CONSERVATOR,
        at=AT - timedelta(days=3),
        prints=[row],
        details=Return(
            written_by_name="Bram Oduya",
            observed_at=AT - timedelta(days=4),
            scan=picture_bytes(),
            scan_name="form.jpg",
        ),
    )


def close(showing: Showing) -> Showing:
    """Bring a showing to its end without the moves (only a test that reads may)."""
    showing.stage = Stage.RETURNED
    return showing.keep(**kept_by(), fields=["stage"])


def lend(diary: Diary) -> Loan:
    """Make the diary's showing part of a loan whose lender is reached in private."""
    lender = Organisation(name="The Saltmarsh Trust", kind="lender", contact=CONTACT)
    loan = Loan(
        agreement_no="L-2026-3",
        lender=lender.keep(**kept_by()),
        direction="in",
        starts_on=DAY - timedelta(days=90),
        ends_on=DAY + timedelta(days=90),
        contact=CONTACT,
        insurance_reference=INSURANCE,
    ).keep(**kept_by())
    loan.insurance_reference = f"{INSURANCE} (renewed)"
    loan.keep(**kept_by())
    diary.showing.loan = loan
    diary.showing.keep(**kept_by(), fields=["loan"])
    return loan


def hold(diary: Diary) -> Hold:
    return Hold(
        museum_object=diary.museum_object,
        showing=diary.showing,
        kind=HoldKind.CHANGE_FOUND,
        reason="A split at the fold is longer than in spring.",
        placed_by=diary.marit,
        placed_role=Role.CONSERVATOR,
        placed_at=AT,
    ).keep(**kept_by())


def save(
    subject: Subject,
    folder: Path,
    *,
    seen: frozenset[str] = frozenset(),
    tick: Callable[[int, str], None] = lambda _more, _doing: None,
) -> Saved:
    """Write a package of something into ``folder``; its working notes stand beside it."""
    order = order_of(subject, made_by="Ines Fairweather (steward)", seen=seen, at=AT)
    return Saving(order, folder, Notes(folder.with_name(f"{folder.name}-notes"))).save(tick)
