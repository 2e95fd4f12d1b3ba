"""Gates left out by house rules or by one exhibition; the chain that has no switch."""

from typing import Any

import pytest
from django.db import IntegrityError, transaction

from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.actions.rules import add_classes, approve_rules, differ_in
from lifecycle.exchange.starting_rules import figure_sets, house_sizes
from lifecycle.process.moves import MOVES
from lifecycle.process.readiness import READY_GATES, readiness_of
from lifecycle.process.stages import Role
from lifecycle.process.switches import Switch
from lifecycle.queries.days_off import rules_in_force
from lifecycle.queries.facts import facts_of_one
from lifecycle.queries.facts.rules import rules_of
from lifecycle.records.models import (
    GateDays,
    GateSwitch,
    HouseRules,
    Person,
    SensitivityClass,
    Showing,
)
from tests.actions.test_rules import DETAILS, acting, limits
from tests.builders.core import (
    AT,
    DAY,
    make_class,
    make_exhibition,
    make_museum,
    make_person,
    make_showing,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def head() -> Person:
    make_museum()
    return make_person(Role.HEAD_OF_COLLECTIONS)


def approve(head: Person, follows: int = 3, **more: Any) -> HouseRules:
    return approve_rules(
        **acting(head), details=DETAILS, limits=[limits(make_class())], follows=follows, **more
    )


def codes(showing: Showing, move: str) -> set[str]:
    return {blocker.code for blocker in MOVES[move].standing(facts_of_one(showing, AT))}


def test_a_version_leaves_gates_out_and_the_next_day_no_move_asks_for_them(head: Person) -> None:
    showing = make_showing(exhibition=make_exhibition())
    before = codes(showing, "declare_ready")
    approve(head, off=["captions", "routes"], days={"G9": 2})
    facts = facts_of_one(showing, AT)
    assert facts.rules.off == {Switch.CAPTIONS, Switch.ROUTES}
    assert before - codes(showing, "declare_ready") == {"caption.open", "route.open"}
    cells = {cell.gate.code: cell.label for cell in readiness_of(facts)}
    assert "G9" not in cells
    assert cells["G12"] == "hazards"
    assert GateDays.objects.get().days == 2


def test_one_exhibition_may_do_otherwise_and_come_back(head: Person) -> None:
    here = make_showing(exhibition=make_exhibition())
    there = make_showing(exhibition=make_exhibition(short="ELSE"))
    approve(head, off=["captions"])
    said: dict[str, bool | None] = {"captions": True, "routes": False}
    differ_in(**acting(head), exhibition=here.exhibition, said=said, why="A tour.")
    assert "caption.open" in codes(here, "declare_ready")
    assert "route.open" not in codes(here, "declare_ready")
    assert "caption.open" not in codes(there, "declare_ready")
    assert "route.open" in codes(there, "declare_ready")
    back = differ_in(
        **acting(head),
        exhibition=here.exhibition,
        said={"captions": None, "routes": None},
        why="No tour.",
    )
    assert len(back) == 2
    assert codes(here, "declare_ready") == codes(there, "declare_ready")
    assert GateSwitch.history.filter(exhibition=here.exhibition).count() == 4


@pytest.mark.parametrize("gate", ["baseline", "consent", "light", "deinstall", "housing"])
def test_the_chain_cant_be_switched_off(head: Person, gate: str) -> None:
    with pytest.raises(Refused, match="belongs to the chain every showing keeps"):
        approve(head, off=[gate])
    exhibition = make_exhibition()
    with pytest.raises(Refused, match="belongs to the chain every showing keeps"):
        differ_in(**acting(head), exhibition=exhibition, said={gate: False}, why="Haste.")
    row = GateSwitch(exhibition=exhibition, gate=gate, taken=False)
    with pytest.raises(IntegrityError), transaction.atomic():
        row.keep(by=head, role=Role.HEAD_OF_COLLECTIONS, why="Haste.", at=AT)
    assert not GateSwitch.objects.exists()


def test_a_switch_belongs_to_rules_or_to_an_exhibition_and_once(head: Person) -> None:
    rules, exhibition = approve(head), make_exhibition()
    other = approve(head, follows=4)
    assert other.switches.count() == len(Switch)
    with pytest.raises(IntegrityError), transaction.atomic():
        GateSwitch(gate="captions", taken=False, house_rules=other).keep(
            by=head, role=Role.HEAD_OF_COLLECTIONS, why="Test.", at=AT
        )

    def keep(**values: Any) -> None:
        with transaction.atomic():
            GateSwitch(gate="captions", **values).keep(
                by=head, role=Role.HEAD_OF_COLLECTIONS, why="Test.", at=AT
            )

    for values in (
        {"taken": True},
        {"taken": True, "house_rules": rules, "exhibition": exhibition},
        {"house_rules": rules},
    ):
        with pytest.raises(IntegrityError):
            keep(**values)
    keep(taken=True, exhibition=exhibition)
    with pytest.raises(IntegrityError):
        keep(taken=False, exhibition=exhibition)


def test_only_the_head_switches_and_says_why(head: Person) -> None:
    exhibition = make_exhibition()
    registrar = make_person(Role.REGISTRAR, name="Josephine Abara")
    with pytest.raises(NotAllowed):
        differ_in(
            **acting(registrar, Role.REGISTRAR),
            exhibition=exhibition,
            said={"captions": False},
            why="Haste.",
        )
    with pytest.raises(Refused, match="Say why"):
        differ_in(**acting(head), exhibition=exhibition, said={"captions": False}, why=" ")


@pytest.mark.parametrize(("code", "days"), [("G99", 3), ("G9", -1), ("G9", 731)])
def test_days_are_those_of_a_gate_and_within_two_years(head: Person, code: str, days: int) -> None:
    with pytest.raises(Refused):
        approve(head, days={code: days})


def test_rules_of_many_exhibitions_are_two_queries(
    head: Person, django_assert_num_queries: Any
) -> None:
    approve(head, off=["captions"], days={"G9": 2})
    rules = rules_in_force(DAY)
    for many in (1, 6):
        ids = [make_exhibition(short=f"E{many}{one}").pk for one in range(many)]
        with django_assert_num_queries(2):
            assert len(rules_of(ids, rules)) == many


def test_the_codes_of_every_starting_set_fit_their_column() -> None:
    """One database takes what is too long, the other refuses it."""
    most = SensitivityClass._meta.get_field("code").max_length
    codes = {one.class_code for chosen in figure_sets().values() for one in chosen.limits}
    assert most is not None
    assert [code for code in sorted(codes) if len(code) > most] == []


@pytest.mark.parametrize("figures", list(figure_sets()))
@pytest.mark.parametrize("size", list(house_sizes()))
def test_every_starting_set_can_be_approved_as_it_stands(
    head: Person, figures: str, size: str
) -> None:
    chosen, house = figure_sets()[figures], house_sizes()[size]
    classes = [(one.class_code, one.class_label, one.definition) for one in chosen.limits]
    add_classes(**acting(head), classes=classes)
    assert add_classes(**acting(head), classes=classes) == []
    by_code = {one.code: one for one in SensitivityClass.objects.all()}
    figures_of = [
        limits(
            by_code[one.class_code],
            **{
                name: getattr(one, name)
                for name in type(one).__dataclass_fields__
                if not name.startswith("class_") and name != "definition"
            },
        )
        for one in chosen.limits
    ]
    made = approve_rules(
        **acting(head),
        details=DETAILS,
        limits=figures_of,
        follows=0,
        off=house.off,
        days=house.days,
    )
    assert made.classes.count() == len(chosen.limits)
    assert all(row.source for row in made.classes.all())
    assert set(house.why) == set(Switch)
    assert set(house.days) == {gate.code for gate in READY_GATES}


def test_full_takes_every_gate_and_small_takes_few() -> None:
    sizes = house_sizes()
    assert sizes["full"].off == set()
    assert sizes["full"].days == {gate.code: gate.days_before for gate in READY_GATES}
    assert len(sizes["small"].off) > len(Switch) / 2
    assert all(sizes["small"].days[gate.code] <= gate.days_before / 2 for gate in READY_GATES)


def test_published_sets_disagree_and_none_is_the_default() -> None:
    sets = figure_sets()
    assert len(sets) >= 2
    allowances = {
        one.limits[0].allowance_lx_h / one.limits[0].window_years for one in sets.values()
    }
    assert len(allowances) == len(sets)
    assert all(row.source for one in sets.values() for row in one.limits)
