"""Rights, cell by cell: the whole table typed here a second time, by hand."""

import pytest

from lifecycle.process.rights import (
    NOTHING,
    OWN,
    RIGHTS,
    Deed,
    PersonFacts,
    Post,
    SubjectFacts,
    may,
    role_serving,
)
from lifecycle.process.stages import Role

R = Role
COLUMNS: tuple[tuple[Role, ...], ...] = (
    (R.CONSERVATOR,),
    (R.CURATOR,),
    (R.REGISTRAR,),
    (R.MOUNT_MAKER, R.PHOTOGRAPHER),
    (R.TECHNICIAN,),
    (R.ATTENDANT,),
    (R.HEAD_OF_COLLECTIONS,),
    (R.STEWARD,),
    (R.LENDER, R.COURIER),
)
# y = yes, o = own objects, jobs, galleries only, - = no
TABLE = {
    Deed.SEE_SHOWING: "y y y o o o y y o",
    Deed.SEE_LENDER: "- - y - - - y - -",
    Deed.SEE_STORE_BAY: "y y y - o - y y -",
    Deed.EXAMINE: "y - - - - - - - -",
    Deed.TREAT: "y - - - - - - - -",
    Deed.CONSENT: "- o - - - - y - o",
    Deed.CHOOSE: "- o - - - - y - -",
    Deed.REGISTER: "- - y - - - y - -",
    Deed.PREPARE: "y - - o - - - - -",
    Deed.SCHEDULE: "y - y - - - y - -",
    Deed.HANDLE: "y - y - o - - - -",
    Deed.REPORT_EVENT: "y y y y y y y y o",
    Deed.PART_A: "y - y - y - - - -",
    Deed.READ_LIGHT: "y - o - o o - - -",
    Deed.WALK: "y y y y y o y - -",
    Deed.COUNTERSIGN: "y - y - o - - - o",
    Deed.WAIVE: "o o o - - - y - -",
    Deed.OVERRIDE: "- - - - - - y - -",
    Deed.STEWARD: "- - - - - - - y -",
}
# 'dates, case readiness, run sheets; sees what a registrar sees except lender contacts and bays'
MANAGER = {
    Deed.SEE_SHOWING: "y",
    Deed.PREPARE: "o",
    Deed.SCHEDULE: "o",
    Deed.REPORT_EVENT: "y",
    Deed.WALK: "y",
}
CELLS = [
    (deed, role, word)
    for deed, row in TABLE.items()
    for roles, word in zip(COLUMNS, row.split(), strict=True)
    for role in roles
] + [(deed, R.EXHIBITION_MANAGER, MANAGER.get(deed, "-")) for deed in Deed]

ME = 7
MINE = SubjectFacts(
    exhibition_id=1,
    object_id=2,
    showing_id=3,
    place_ids=frozenset({4, 5}),
    job_person_ids=frozenset({ME, 8}),
    at_take_down=True,
)
THEIRS = SubjectFacts(
    exhibition_id=11,
    object_id=12,
    showing_id=13,
    place_ids=frozenset({14, 15}),
    job_person_ids=frozenset({8}),
)


def person(role: Role, **values: object) -> PersonFacts:
    post = Post(
        role=role,
        exhibitions=frozenset({1}),
        galleries=frozenset({5}),
        objects=frozenset({2}),
        trained=True,
    )
    return PersonFacts(person_id=ME, posts=(post,))


def test_the_table_here_names_every_deed_and_every_role() -> None:
    assert {(deed, role) for deed, role, _ in CELLS} == {(d, r) for d in Deed for r in Role}


@pytest.mark.parametrize(("deed", "role", "word"), CELLS)
def test_cell(deed: Deed, role: Role, word: str) -> None:
    me = person(role)
    expected = {"y": (True, True), "o": (True, False), "-": (False, False)}[word]
    assert (may(me, deed, MINE), may(me, deed, THEIRS)) == expected
    if word == "o":
        assert not may(me, deed, NOTHING), "own can't be told of nothing"


@pytest.mark.parametrize("deed", Deed)
def test_without_a_post_nothing_is_allowed(deed: Deed) -> None:
    assert not may(PersonFacts(person_id=ME), deed, MINE)


def test_an_attendant_reads_light_only_when_trained() -> None:
    post = Post(role=R.ATTENDANT, galleries=frozenset({5}))
    assert not may(PersonFacts(person_id=ME, posts=(post,)), Deed.READ_LIGHT, MINE)


@pytest.mark.parametrize(
    ("about", "allowed"),
    [
        (SubjectFacts(job_person_ids=frozenset({ME})), True),
        (SubjectFacts(place_ids=frozenset({5})), True),
        (SubjectFacts(place_ids=frozenset({9}), job_person_ids=frozenset({8})), False),
    ],
)
def test_a_technician_owns_jobs_and_galleries(about: SubjectFacts, allowed: bool) -> None:
    assert may(person(R.TECHNICIAN), Deed.HANDLE, about) is allowed


def test_a_deputy_consents_and_nothing_else() -> None:
    post = Post(role=R.CURATOR, exhibitions=frozenset({1}), deputy=True)
    deputy = PersonFacts(person_id=ME, posts=(post,))
    assert [deed for deed in Deed if may(deputy, deed, MINE)] == [Deed.CONSENT]
    assert deputy.roles == frozenset()


def test_the_role_that_serves_is_named_and_a_named_role_is_held_to() -> None:
    both = PersonFacts(person_id=ME, posts=(Post(role=R.CURATOR), Post(role=R.CONSERVATOR)))
    assert role_serving(both, Deed.EXAMINE, MINE) is R.CONSERVATOR
    assert role_serving(both, Deed.STEWARD, MINE) is None
    assert not may(both, Deed.EXAMINE, MINE, R.CURATOR)


def test_every_cell_has_a_word_and_every_deed_a_label() -> None:
    assert {cell for cells in RIGHTS.values() for cell in cells.values()} <= set(OWN)
    assert all(deed.label for deed in Deed)
