"""Gates a museum may leave out by its house rules, and the chain no museum can leave out."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Final


class Switch(StrEnum):
    """A gate, or a few that belong together, that house rules may switch off."""

    ALTERNATIVES = "alternatives"
    IMAGING = "imaging"
    FACSIMILES = "facsimiles"
    MOUNTS = "mounts"
    CAPTIONS = "captions"
    CASES = "cases"
    ROUTES = "routes"
    HOUSING_LABELS = "housing_labels"

    @property
    def label(self) -> str:
        return self.value.replace("_", " ")


@dataclass(frozen=True, slots=True)
class Switched:
    """Its word, why a museum would have it, and the codes of the reasons that go with it."""

    label: str
    why: str
    codes: frozenset[str]


SWITCHED: Final[Mapping[Switch, Switched]] = MappingProxyType(
    {
        Switch.ALTERNATIVES: Switched(
            label="Alternatives",
            why="A request names what could be shown instead, so that a no leaves no hole.",
            codes=frozenset({"request.alternatives"}),
        ),
        Switch.IMAGING: Switched(
            label="Imaging",
            why="Pictures are asked for, made and accepted before an object is declared ready.",
            codes=frozenset({"imaging.open"}),
        ),
        Switch.FACSIMILES: Switched(
            label="Facsimiles",
            why="A face that is hidden for a time is shown as a facsimile beside the object.",
            codes=frozenset({"facsimile.missing", "rotation.facsimile"}),
        ),
        Switch.MOUNTS: Switched(
            label="Mounts",
            why="Each face has a mount that was tried with the object and signed by two.",
            codes=frozenset({"mount.fit", "install.mount"}),
        ),
        Switch.CAPTIONS: Switched(
            label="Captions",
            why="The caption is approved before an object is declared ready.",
            codes=frozenset({"caption.open"}),
        ),
        Switch.CASES: Switched(
            label="Cases",
            why="The case is built, cured, cleaned and proven before anything lies in it.",
            codes=frozenset({"case.built", "case.curing", "case.proof"}),
        ),
        Switch.ROUTES: Switched(
            label="Routes",
            why="The way through the house is walked, with people and equipment named.",
            codes=frozenset({"route.open", "route.slip"}),
        ),
        Switch.HOUSING_LABELS: Switched(
            label="Housing labels",
            why="The housing carries its printed label before it goes back to its bay.",
            codes=frozenset({"housing.label"}),
        ),
    }
)

ALWAYS: Final = (
    ("examination", "Assessment and a signed baseline report of every face."),
    ("consent", "No treatment without the consent of everybody it needs."),
    ("light limit", "The light account and the ceiling of the place hold, or a named override."),
    ("de-install check", "Part A and part B against what was known before."),
    ("housing", "A housing that fits, or a dated waiver, before the file is closed."),
)
"""The chain every showing keeps; there is no switch for it, here or in the database."""


def codes_off(switches: Iterable[Switch]) -> frozenset[str]:
    """Return the codes of the reasons that are not asked for while these gates are off.

    >>> sorted(codes_off([Switch.ROUTES, Switch.CAPTIONS]))
    ['caption.open', 'route.open', 'route.slip']
    """
    return frozenset(code for switch in switches for code in SWITCHED[switch].codes)
