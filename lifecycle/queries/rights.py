"""Rows → rights: a person's live posts, what a deed is about, and lists filtered by one rule."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, datetime
from functools import reduce
from operator import or_
from typing import Any, Final
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet

from lifecycle.process.rights import (
    RIGHTS,
    Cell,
    Deed,
    PersonFacts,
    Post,
    SubjectFacts,
    always,
    at_take_down,
    on_the_pass,
    own_exhibition,
    own_gallery,
    own_gallery_if_trained,
    own_job,
    own_job_or_gallery,
    own_job_or_gallery_or_at_take_down,
)
from lifecycle.process.stages import CLOSED, Role
from lifecycle.process.words import PlaceKind
from lifecycle.queries.jobs_of import JOB_PATHS, job_person_ids
from lifecycle.records.models import (
    DeputyTerm,
    DisplayPeriod,
    Exhibition,
    GuestPass,
    Museum,
    MuseumObject,
    Person,
    Place,
    RoleAssignment,
    Showing,
)

# A place and those above it: position, case, room, floor, house; the last is where to go on from.
_LEVELS: Final = ("pk", *("__".join(["parent"] * level) for level in range(1, 6)))

# To the others no right hangs on an exhibition being their own, so theirs are not looked up.
_OF_AN_EXHIBITION: Final = frozenset(
    role for cells in RIGHTS.values() for role, cell in cells.items() if cell is own_exhibition
)


def museum_day(at: datetime) -> date:
    """Return the calendar day of a moment on the museum's clock."""
    zone = Museum.objects.values_list("zone", flat=True).first() or "UTC"
    return at.astimezone(ZoneInfo(zone)).date()


def person_facts(person: Person, at: datetime, *, today: date | None = None) -> PersonFacts:
    """Return the posts that are live on the museum's day of ``at``; a closed term has none."""
    today = today or museum_day(at)
    if person.ends_on is not None and person.ends_on < today:
        return PersonFacts(person_id=person.pk, name=person.full_name)
    live = Q(from_on__lte=today) & (Q(until_on=None) | Q(until_on__gte=today))
    held: dict[int, tuple[Role, bool, set[int]]] = {}
    assignments = RoleAssignment.objects.filter(live, person=person).order_by("pk")
    for pk, role, trained, gallery in assignments.values_list("pk", "role", "trained", "galleries"):
        _, _, galleries = held.setdefault(pk, (Role(role), trained, set()))
        if gallery is not None:
            galleries.add(gallery)
    deputised = DeputyTerm.objects.filter(live, deputy=person).order_by("pk")
    terms = [(Role(role), pk) for role, pk in deputised.values_list("role", "for_person")]
    passes: dict[int, tuple[Role, set[int]]] = {}
    guest = GuestPass.objects.filter(live, person=person).order_by("pk")
    for pk, role, thing in guest.values_list("pk", "role", "museum_objects"):
        _, things = passes.setdefault(pk, (Role(role), set()))
        if thing is not None:
            things.add(thing)
    owners = {person.pk for role, *_ in held.values() if role in _OF_AN_EXHIBITION}
    owners |= {pk for role, pk in terms if role in _OF_AN_EXHIBITION}
    own = _own_exhibitions(owners)
    posts = [
        Post(
            role=role,
            exhibitions=own.get(person.pk, frozenset()),
            galleries=frozenset(galleries),
            trained=trained,
        )
        for role, trained, galleries in held.values()
    ]
    posts += [
        Post(role=role, exhibitions=own.get(pk, frozenset()), deputy=True) for role, pk in terms
    ]
    posts += [Post(role=role, objects=frozenset(things)) for role, things in passes.values()]
    return PersonFacts(person_id=person.pk, name=person.full_name, posts=tuple(posts))


def _own_exhibitions(person_ids: Iterable[int]) -> dict[int, frozenset[int]]:
    """Return, per person, the exhibitions they curate or manage; nobody named, nothing asked."""
    wanted = set(person_ids)
    if not wanted:
        return {}
    own: dict[int, set[int]] = {pk: set() for pk in wanted}
    curated = Exhibition.objects.filter(curators__in=wanted).values_list("curators", "pk")
    managed = Exhibition.objects.filter(manager__in=wanted).values_list("manager", "pk")
    for person_id, exhibition_id in (*curated, *managed):
        if person_id in own:
            own[person_id].add(exhibition_id)
    return {pk: frozenset(ids) for pk, ids in own.items()}


def place_chain(place: Place | None) -> frozenset[int]:
    """Return the place and everything above it, so that a post for a gallery covers its cases.

    What was read with the place is not asked for again.
    """
    chain: set[int] = set()
    while place is not None and place.pk not in chain:
        chain.add(place.pk)
        if place.parent_id is not None and not Place.parent.is_cached(place):
            return places_around(place.parent_id) | chain
        place = place.parent
    return frozenset(chain)


def places_around(*place_ids: int | None) -> frozenset[int]:
    """Return these places and all above them, in one query; in one more for each five levels."""
    around: set[int] = set()
    ask = {pk for pk in place_ids if pk is not None}
    while ask:
        rows = list(Place.objects.filter(pk__in=ask).values_list(*_LEVELS))
        above = {pk for *_, pk in rows if pk is not None}
        around |= {pk for *levels, _ in rows for pk in levels if pk is not None}
        ask = above - around
    return frozenset(around)


def case_around(place: Place) -> Place:
    """Return the case a position lies in, else the place itself."""
    parent = place.parent if place.kind == PlaceKind.POSITION else None
    return place if parent is None or parent.kind != PlaceKind.CASE else parent


def about_showing(showing: Showing, *, at_take_down: bool = False) -> SubjectFacts:
    """Return what a deed on this showing is about: its exhibition, object, places and people."""
    here = places_around(showing.place_id, showing.museum_object.current_location_id)
    return SubjectFacts(
        exhibition_id=showing.exhibition_id,
        object_id=showing.museum_object_id,
        showing_id=showing.pk,
        place_ids=here,
        job_person_ids=job_person_ids([showing.pk])[showing.pk],
        at_take_down=at_take_down,
    )


def about_object(museum_object: MuseumObject) -> SubjectFacts:
    """Return what a deed on this object is about; own jobs are those of its open showings."""
    showing_ids = list(museum_object.showings.values_list("pk", flat=True))
    jobs = job_person_ids(showing_ids)
    nobody: frozenset[int] = frozenset()
    people = reduce(or_, jobs.values(), nobody)
    return SubjectFacts(
        object_id=museum_object.pk,
        place_ids=places_around(museum_object.current_location_id),
        job_person_ids=people,
    )


def about_place(place: Place) -> SubjectFacts:
    return SubjectFacts(place_ids=place_chain(place))


def about_light_at(place: Place) -> SubjectFacts:
    """A place where light is read: own jobs are those of the showings on display in it."""
    shown = DisplayPeriod.objects.filter(
        place__in=places_below([place.pk]), closed_at=None, struck_at=None
    )
    jobs = job_person_ids(list(shown.values_list("showing_id", flat=True)))
    nobody: frozenset[int] = frozenset()
    return replace(about_place(place), job_person_ids=reduce(or_, jobs.values(), nobody))


def about_work_at(place: Place) -> SubjectFacts:
    """A place where objects are put up: own jobs are those of every open showing planned for it.

    Which of these objects the person may handle is asked of each showing by itself.
    """
    below = places_below([place.pk])
    planned = Showing.objects.filter(place__in=below).exclude(stage__in=sorted(CLOSED))
    jobs = job_person_ids(list(planned.values_list("pk", flat=True)))
    nobody: frozenset[int] = frozenset()
    return replace(about_place(place), job_person_ids=reduce(or_, jobs.values(), nobody))


def about_exhibition(exhibition: Exhibition) -> SubjectFacts:
    return SubjectFacts(
        exhibition_id=exhibition.pk,
        place_ids=frozenset(exhibition.places.values_list("pk", flat=True)),
    )


def places_below(galleries: Iterable[int]) -> frozenset[int]:
    """Return the galleries and every place inside them; one query per level of the tree."""
    found, level = set(galleries), set(galleries)
    while level:
        level = set(Place.objects.filter(parent__in=level).values_list("pk", flat=True)) - found
        found |= level
    return frozenset(found)


OF_A_GALLERY: Final = frozenset(
    {
        own_gallery,
        own_gallery_if_trained,
        own_job_or_gallery,
        own_job_or_gallery_or_at_take_down,
    }
)


def _showing_filter(cell: Cell, person: PersonFacts, post: Post) -> Q:
    """Return the database form of one cell of the rights table, about showings.

    What holds at a take-down only is decided there, never for a list.
    """
    none = Q(pk__in=[])
    job = reduce(or_, (Q(**{path: person.person_id}) for path in JOB_PATHS))
    gallery = none
    if post.galleries and cell in OF_A_GALLERY:
        places = places_below(post.galleries)
        gallery = Q(place__in=places) | Q(museum_object__current_location__in=places)
    by_cell: dict[Cell, Q] = {
        always: Q(),
        own_exhibition: Q(exhibition__in=post.exhibitions),
        own_job: job,
        own_gallery: gallery,
        own_gallery_if_trained: gallery if post.trained else none,
        own_job_or_gallery: job | gallery,
        own_job_or_gallery_or_at_take_down: job | gallery,
        at_take_down: none,
        on_the_pass: Q(museum_object__in=post.objects),
    }
    return by_cell[cell]


def may_see_showings(
    person: PersonFacts, showings: QuerySet[Showing, Any], deed: Deed = Deed.SEE_SHOWING
) -> QuerySet[Showing, Any]:
    """Return the showings this person may see: the rule of ``may``, put to the database."""
    if sees_all_showings(person, deed):
        return showings
    cells = RIGHTS[deed]
    posts = [post for post in person.posts if post.role in cells and not post.deputy]
    seen = [_showing_filter(cells[post.role], person, post) for post in posts]
    if not seen:
        return showings.none()
    allowed = Showing.objects.filter(reduce(or_, seen)).values("pk")
    return showings.filter(pk__in=allowed)


def sees_all_showings(person: PersonFacts, deed: Deed = Deed.SEE_SHOWING) -> bool:
    """Whether one of the person's posts sees every showing there is."""
    cells = RIGHTS[deed]
    return any(cells.get(post.role) is always for post in person.posts if not post.deputy)


def may_see_objects(
    person: PersonFacts, objects: QuerySet[MuseumObject, Any]
) -> QuerySet[MuseumObject, Any]:
    """Return the objects this person may see: all, or those of showings that are their own."""
    if sees_all_showings(person):
        return objects
    theirs = may_see_showings(person, Showing.objects.all()).values("museum_object")
    here = places_below({place for post in person.posts for place in post.galleries})
    on_pass = {pk for post in person.posts for pk in post.objects}
    return objects.filter(Q(pk__in=theirs) | Q(current_location__in=here) | Q(pk__in=on_pass))


def showings_open_to(
    person: PersonFacts, showings: QuerySet[Showing, Any], deeds: Iterable[Deed]
) -> QuerySet[Showing, Any]:
    """Return the showings about which this person may do at least one of the deeds."""
    open_ones = [may_see_showings(person, showings, deed).values("pk") for deed in deeds]
    return showings.filter(reduce(or_, (Q(pk__in=ones) for ones in open_ones)))


def objects_open_to(
    person: PersonFacts, objects: QuerySet[MuseumObject, Any], deeds: Iterable[Deed]
) -> QuerySet[MuseumObject, Any]:
    """Return the objects about which this person may do one of the deeds: all, or their own."""
    deeds = tuple(deeds)
    if any(sees_all_showings(person, deed) for deed in deeds):
        return objects
    theirs = showings_open_to(person, Showing.objects.all(), deeds).values("museum_object")
    return objects.filter(pk__in=theirs)


def may_see_places(person: PersonFacts, places: QuerySet[Place, Any]) -> QuerySet[Place, Any]:
    """Return the places without those store bays the person has no right to see."""
    if sees_all_showings(person, Deed.SEE_STORE_BAY):
        return places
    return places.exclude(kind__in=("store", "bay", "shelf"))
