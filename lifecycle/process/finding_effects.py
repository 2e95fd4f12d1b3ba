"""What a finding made during treatment puts in doubt: which consents, pictures, copies, mounts,
light accounts, and why. Only what the finding touches is asked again (our rules).
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from lifecycle.process.stages import Role
from lifecycle.process.words import Word


class Changes(Word):
    """What a finding may change of what is known of the object."""

    COMPONENTS = "components"
    SENSITIVITY_CLASS = "sensitivity_class"
    FACES = "faces"
    PLAN = "plan"


class AskedKind(Word):
    CONSENT = "consent"
    IMAGING = "imaging"
    FACSIMILE = "facsimile"
    MOUNT = "mount"
    ACCOUNT = "account"

    @property
    def label(self) -> str:
        return {
            "consent": "consent",
            "imaging": "picture",
            "facsimile": "facsimile",
            "mount": "mount",
            "account": "light account",
        }[self.value]


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """Something that was agreed, measured or made before the finding, and who answers for it.

    ``faces`` are row ids; none means the whole object. Without a person the role is asked.
    """

    kind: AskedKind
    uid: str
    number: str
    role: Role
    faces: frozenset[int] = frozenset()
    person_id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class InDoubt:
    made: Made
    because: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rule:
    """``everywhere``: whatever face it belongs to; else only what belongs to the finding's face."""

    because: str
    everywhere: bool = False


RULES: Final = MappingProxyType(
    {
        (Changes.COMPONENTS, AskedKind.CONSENT): _Rule(
            because="it was given without knowing of this component", everywhere=True
        ),
        (Changes.COMPONENTS, AskedKind.IMAGING): _Rule(
            because="the picture does not show the component"
        ),
        (Changes.COMPONENTS, AskedKind.FACSIMILE): _Rule(
            because="the copy does not show the component"
        ),
        (Changes.COMPONENTS, AskedKind.MOUNT): _Rule(
            because="size, weight or points of contact may be others", everywhere=True
        ),
        (Changes.SENSITIVITY_CLASS, AskedKind.ACCOUNT): _Rule(
            because="allowance, ceiling and rest follow the class"
        ),
        (Changes.FACES, AskedKind.CONSENT): _Rule(
            because="it was given without knowing of this face", everywhere=True
        ),
        (Changes.FACES, AskedKind.MOUNT): _Rule(
            because="it was made without knowing of this face", everywhere=True
        ),
        (Changes.PLAN, AskedKind.CONSENT): _Rule(
            because="the work has to go otherwise than was agreed"
        ),
    }
)
"""What each change puts in doubt."""


def in_doubt(
    changes: Iterable[Changes], *, face_id: int, made: Iterable[Made]
) -> Iterator[InDoubt]:
    """Yield what no longer fits for sure, each once, with every reason."""
    told = list(changes)
    for one in made:
        reasons = [
            rule.because
            for change in told
            if (rule := RULES.get((change, one.kind))) is not None
            and (rule.everywhere or not one.faces or face_id in one.faces)
        ]
        if reasons:
            yield InDoubt(made=one, because="; ".join(reasons))
