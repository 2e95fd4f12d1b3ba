"""Who may do what: one pure question, ``may(person, deed, about)``, answered from one table.

'Not you' is a refusal of the person (403); 'not yet' is a sentence and belongs to the gates. The
word *own* in the table means an exhibition one curates or manages, a job one is named for, a
gallery one is posted to, or an object on one's guest pass; ``OWN`` says which, cell by cell.
The table is our own reading of common practice; the exhibition manager has dates, case readiness
and run sheets, and sees what a registrar sees except lender contacts and bays.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Final

from lifecycle.process.stages import Role


class Deed(StrEnum):
    """A kind of act; every page and every action names one before it shows or writes."""

    SEE_SHOWING = "see_showing"
    SEE_LENDER = "see_lender"
    SEE_STORE_BAY = "see_store_bay"
    EXAMINE = "examine"
    TREAT = "treat"
    CONSENT = "consent"
    CHOOSE = "choose"
    REGISTER = "register"
    PREPARE = "prepare"
    SCHEDULE = "schedule"
    HANDLE = "handle"
    REPORT_EVENT = "report_event"
    PART_A = "part_a"
    READ_LIGHT = "read_light"
    WALK = "walk"
    COUNTERSIGN = "countersign"
    WAIVE = "waive"
    OVERRIDE = "override"
    STEWARD = "steward"

    @property
    def label(self) -> str:
        return _DEED_LABELS[self]


_DEED_LABELS: Final = {
    Deed.SEE_SHOWING: "see object, showing, gates",
    Deed.SEE_LENDER: "see lender contact, insurance reference",
    Deed.SEE_STORE_BAY: "see store bay",
    Deed.EXAMINE: "assess, examine, grade, sign a report",
    Deed.TREAT: "propose, log and report treatment",
    Deed.CONSENT: "consent to treatment",
    Deed.CHOOSE: "choose, approve facsimile and caption",
    Deed.REGISTER: "loan, clauses, movement authority, close a showing",
    Deed.PREPARE: "mount, imaging and case records",
    Deed.SCHEDULE: "schedule turns, swaps, installs, de-installs",
    Deed.HANDLE: "install check, turn record, movement receipt",
    Deed.REPORT_EVENT: "light event, incident start",
    Deed.PART_A: "part A, as found",
    Deed.READ_LIGHT: "lux reading",
    Deed.WALK: "round, flag",
    Deed.COUNTERSIGN: "countersign report, receipt",
    Deed.WAIVE: "waive a gate",
    Deed.OVERRIDE: "override, house rules",
    Deed.STEWARD: "accounts, vocabularies, export, restore",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Post:
    """One role a person holds today, and what counts as their own in it (database ids).

    ``exhibitions`` is filled for roles to which the rights table gives their own exhibition.
    ``deputy`` marks a post held for somebody else under a deputy term: it serves for consent alone.
    """

    role: Role
    exhibitions: frozenset[int] = frozenset()
    galleries: frozenset[int] = frozenset()
    objects: frozenset[int] = frozenset()
    trained: bool = False
    deputy: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonFacts:
    """A person and the posts that are live on the day asked about; none when the term has ended."""

    person_id: int
    name: str = ""
    posts: tuple[Post, ...] = ()

    @property
    def roles(self) -> frozenset[Role]:
        return frozenset(post.role for post in self.posts if not post.deputy)


@dataclass(frozen=True, slots=True, kw_only=True)
class SubjectFacts:
    """What the deed is about. Leave a field empty when it does not apply (database ids).

    ``place_ids`` holds a place and everything above it, so that a post for a gallery covers its
    cases. ``at_take_down`` is true while the object is being taken down.
    """

    exhibition_id: int | None = None
    object_id: int | None = None
    showing_id: int | None = None
    place_ids: frozenset[int] = frozenset()
    job_person_ids: frozenset[int] = frozenset()
    at_take_down: bool = False


NOTHING: Final = SubjectFacts()
Cell = Callable[[PersonFacts, Post, SubjectFacts], bool]


def always(person: PersonFacts, post: Post, about: SubjectFacts) -> bool:
    return True


def own_exhibition(person: PersonFacts, post: Post, about: SubjectFacts) -> bool:
    return about.exhibition_id in post.exhibitions


def own_job(person: PersonFacts, post: Post, about: SubjectFacts) -> bool:
    return person.person_id in about.job_person_ids


def own_gallery(person: PersonFacts, post: Post, about: SubjectFacts) -> bool:
    return bool(post.galleries & about.place_ids)


def own_job_or_gallery(person: PersonFacts, post: Post, about: SubjectFacts) -> bool:
    return own_job(person, post, about) or own_gallery(person, post, about)


def on_the_pass(person: PersonFacts, post: Post, about: SubjectFacts) -> bool:
    return about.object_id in post.objects


def at_take_down(person: PersonFacts, post: Post, about: SubjectFacts) -> bool:
    return about.at_take_down


def own_job_or_gallery_or_at_take_down(
    person: PersonFacts, post: Post, about: SubjectFacts
) -> bool:
    return about.at_take_down or own_job_or_gallery(person, post, about)


def own_gallery_if_trained(person: PersonFacts, post: Post, about: SubjectFacts) -> bool:
    return post.trained and own_gallery(person, post, about)


def _row(**cells: Cell) -> Mapping[Role, Cell]:
    return MappingProxyType({Role(name): cell for name, cell in cells.items()})


_Y = always
# fmt: off
RIGHTS: Final[Mapping[Deed, Mapping[Role, Cell]]] = MappingProxyType({
    Deed.SEE_SHOWING: _row(
        conservator=_Y, curator=_Y, registrar=_Y, exhibition_manager=_Y, head_of_collections=_Y,
        steward=_Y, mount_maker=own_job, photographer=own_job, technician=own_job_or_gallery,
        attendant=own_gallery, courier=on_the_pass, lender=on_the_pass),
    Deed.SEE_LENDER: _row(registrar=_Y, head_of_collections=_Y),
    Deed.SEE_STORE_BAY: _row(
        conservator=_Y, curator=_Y, registrar=_Y, technician=own_job, head_of_collections=_Y,
        steward=_Y),
    Deed.EXAMINE: _row(conservator=_Y),
    Deed.TREAT: _row(conservator=_Y),
    Deed.CONSENT: _row(
        curator=own_exhibition, head_of_collections=_Y, courier=on_the_pass, lender=on_the_pass),
    Deed.CHOOSE: _row(curator=own_exhibition, head_of_collections=_Y),
    Deed.REGISTER: _row(registrar=_Y, head_of_collections=_Y),
    Deed.PREPARE: _row(
        conservator=_Y, mount_maker=own_job, photographer=own_job,
        exhibition_manager=own_exhibition),
    Deed.SCHEDULE: _row(
        conservator=_Y, registrar=_Y, head_of_collections=_Y, exhibition_manager=own_exhibition),
    Deed.HANDLE: _row(conservator=_Y, registrar=_Y, technician=own_job_or_gallery),
    Deed.REPORT_EVENT: _row(
        conservator=_Y, curator=_Y, registrar=_Y, mount_maker=_Y, photographer=_Y, technician=_Y,
        attendant=_Y, exhibition_manager=_Y, head_of_collections=_Y, steward=_Y,
        courier=on_the_pass, lender=on_the_pass),
    Deed.PART_A: _row(conservator=_Y, registrar=_Y, technician=_Y),
    Deed.READ_LIGHT: _row(
        conservator=_Y, registrar=at_take_down, technician=own_job_or_gallery_or_at_take_down,
        attendant=own_gallery_if_trained),
    Deed.WALK: _row(
        conservator=_Y, curator=_Y, registrar=_Y, mount_maker=_Y, photographer=_Y, technician=_Y,
        attendant=own_gallery, exhibition_manager=_Y, head_of_collections=_Y),
    Deed.COUNTERSIGN: _row(
        conservator=_Y, registrar=_Y, technician=own_job_or_gallery, courier=on_the_pass,
        lender=on_the_pass),
    Deed.WAIVE: _row(
        conservator=own_job, curator=own_exhibition, registrar=own_job, head_of_collections=_Y),
    Deed.OVERRIDE: _row(head_of_collections=_Y),
    Deed.STEWARD: _row(steward=_Y),
})
# fmt: on

OWN: Final[Mapping[Cell, str]] = MappingProxyType(
    {
        always: "yes",
        own_exhibition: "own exhibition",
        own_job: "own job",
        own_gallery: "own gallery",
        own_job_or_gallery: "own job or gallery",
        on_the_pass: "objects on the pass",
        at_take_down: "at take-down",
        own_job_or_gallery_or_at_take_down: "own job or gallery, or at take-down",
        own_gallery_if_trained: "own gallery, if trained",
    }
)


def serving_posts(person: PersonFacts, deed: Deed, about: SubjectFacts) -> Iterator[Post]:
    """Yield the posts in which ``person`` may do ``deed`` about this subject, best known first."""
    cells = RIGHTS[deed]
    for post in person.posts:
        if post.deputy and deed is not Deed.CONSENT:
            continue
        cell = cells.get(post.role)
        if cell is not None and cell(person, post, about):
            yield post


def may(
    person: PersonFacts, deed: Deed, about: SubjectFacts = NOTHING, role: Role | None = None
) -> bool:
    """Return whether the person may do the deed, in any of their roles or in the one named."""
    return any(role in (None, post.role) for post in serving_posts(person, deed, about))


def role_serving(person: PersonFacts, deed: Deed, about: SubjectFacts = NOTHING) -> Role | None:
    """Return the first role in which the person may do the deed; it is the role put on record."""
    return next((post.role for post in serving_posts(person, deed, about)), None)
