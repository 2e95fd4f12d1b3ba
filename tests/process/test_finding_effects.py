"""A finding during treatment puts in doubt what it touches, and nothing else."""

import pytest

from lifecycle.process.finding_effects import AskedKind, Changes, Made, in_doubt
from lifecycle.process.stages import Role

A, B = 1, 2
MADE = {
    "consent": Made(kind=AskedKind.CONSENT, uid="c", number="TP-0031 v2", role=Role.CURATOR,
                    faces=frozenset({A})),
    "picture": Made(kind=AskedKind.IMAGING, uid="p", number="IM-1", role=Role.CURATOR,
                    faces=frozenset({A})),
    "picture of B": Made(kind=AskedKind.IMAGING, uid="q", number="IM-2", role=Role.CURATOR,
                         faces=frozenset({B})),
    "facsimile": Made(kind=AskedKind.FACSIMILE, uid="f", number="FX-1", role=Role.CURATOR,
                      faces=frozenset({A})),
    "mount of B": Made(kind=AskedKind.MOUNT, uid="m", number="MT-1", role=Role.MOUNT_MAKER,
                       faces=frozenset({B})),
    "account": Made(kind=AskedKind.ACCOUNT, uid="a", number="A", role=Role.CONSERVATOR,
                    faces=frozenset({A})),
    "account of B": Made(kind=AskedKind.ACCOUNT, uid="b", number="B", role=Role.CONSERVATOR,
                         faces=frozenset({B})),
}  # fmt: skip


def asked(*changes: Changes, face_id: int = A) -> set[str]:
    found = {one.made.uid for one in in_doubt(changes, face_id=face_id, made=MADE.values())}
    return {name for name, made in MADE.items() if made.uid in found}


@pytest.mark.parametrize(
    ("change", "wanted"),
    [
        (Changes.COMPONENTS, {"consent", "picture", "facsimile", "mount of B"}),
        (Changes.SENSITIVITY_CLASS, {"account"}),
        (Changes.FACES, {"consent", "mount of B"}),
        (Changes.PLAN, {"consent"}),
    ],
)
def test_each_change_asks_again_only_what_it_touches(change: Changes, wanted: set[str]) -> None:
    assert asked(change) == wanted


def test_a_finding_that_changes_nothing_asks_nobody() -> None:
    assert asked() == set()


def test_work_on_another_face_than_the_plan_speaks_of_leaves_its_consent_alone() -> None:
    assert asked(Changes.PLAN, face_id=B) == set()
    assert asked(Changes.SENSITIVITY_CLASS, face_id=B) == {"account of B"}


def test_two_changes_are_one_question_with_both_reasons() -> None:
    found = list(in_doubt(Changes, face_id=A, made=[MADE["consent"]]))
    assert len(found) == 1
    assert found[0].because.count(";") == 2
