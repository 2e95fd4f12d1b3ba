"""What two reports say of one feature, when other reports may lie between them. Pure.

Words do not chain: 'worse' in a round and 'same' at the bench is worse than at the baseline. So
what was said in between is gathered, and where both reports measured, the measures are asked too.
"""

from collections.abc import Collection
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import Final

from lifecycle.process.words import FeatureState

LEAST_MM: Final = Decimal(1)
LEAST_SHARE: Final = Decimal("0.1")
"""A length counts as another one when it differs by more than 1 mm and by more than a tenth.

A rule of our own: two people with one ruler differ by that much.
"""

UNSEEN: Final = frozenset({FeatureState.NOT_LOOKED_AT, FeatureState.COULD_NOT_BE_SEEN})
_TOLD: Final = frozenset({FeatureState.WORSE, FeatureState.LESS, FeatureState.TREATED})


class Outcome(StrEnum):
    """How a feature of the later report stands against the earlier one, in reading order."""

    NEW = "new"
    WORSE = "worse"
    WORSE_AND_LESS = "worse and less in between"
    LESS = "less"
    TREATED = "treated"
    GONE = "gone"
    SAME = "same"
    SEEN_LATER_ONLY = "seen in the later report alone"
    NOT_LOOKED_AT = "not looked at"
    COULD_NOT_BE_SEEN = "could not be seen"
    NOT_LISTED = "not in the later report"

    @property
    def proves_nothing(self) -> bool:
        """Whether nothing can be said of a change."""
        return self in _PROVES_NOTHING

    @property
    def is_change(self) -> bool:
        return not self.proves_nothing and self is not Outcome.SAME


_PROVES_NOTHING: Final = frozenset(
    {
        Outcome.SEEN_LATER_ONLY,
        Outcome.NOT_LOOKED_AT,
        Outcome.COULD_NOT_BE_SEEN,
        Outcome.NOT_LISTED,
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Measures:
    """What one report measured of a feature: 0 to 3, millimetres, a count; None: not measured."""

    severity: int | None = None
    length_mm: Decimal | None = None
    width_mm: Decimal | None = None
    count: int | None = None


def by_measures(then: Measures, now: Measures) -> FeatureState | None:
    """Return worse, less or same by what both reports measured; None if they share no measure.

    Whatever has grown outweighs what has shrunk.

    >>> by_measures(Measures(length_mm=Decimal(14)), Measures(length_mm=Decimal(31))).label
    'worse'
    """
    steps = [
        step
        for step in (
            _step(then.severity, now.severity),
            _step(then.count, now.count),
            _grown(then.length_mm, now.length_mm),
            _grown(then.width_mm, now.width_mm),
        )
        if step is not None
    ]
    if not steps:
        return None
    if max(steps) > 0:
        return FeatureState.WORSE
    return FeatureState.LESS if min(steps) < 0 else FeatureState.SAME


def _step(then: int | None, now: int | None) -> int | None:
    return None if then is None or now is None else (now > then) - (now < then)


def _grown(then: Decimal | None, now: Decimal | None) -> int | None:
    if then is None or now is None:
        return None
    margin = max(LEAST_MM, LEAST_SHARE * then)
    return int(now - then > margin) - int(then - now > margin)


def outcome(
    *,
    before: FeatureState | None,
    later: FeatureState | None,
    said: Collection[FeatureState],
    face_was_seen: bool,
    measured: FeatureState | None,
) -> Outcome:
    """Return how the later report stands against the earlier one.

    :param before: the answer of the earlier report; None where it has no row of the feature
    :param later: the answer of the later report; None where it has no row
    :param said: answers after the earlier report, up to and with the later one
    :param face_was_seen: the earlier report looked at the whole face, so what it does not name was
        not there
    :param measured: what ``by_measures`` says
    """
    if later is None:
        return Outcome.NOT_LISTED
    if later in UNSEEN:
        return Outcome(later.label)
    if later is FeatureState.GONE:
        return Outcome.GONE
    if before is None:
        return Outcome.NEW if face_was_seen else Outcome.SEEN_LATER_ONLY
    if before in UNSEEN:
        return Outcome.SEEN_LATER_ONLY
    told = _TOLD & set(said)
    if FeatureState.TREATED in told:
        return Outcome.TREATED
    if measured in _TOLD:
        return Outcome(measured.label)
    if len(told) > 1:
        return Outcome.WORSE_AND_LESS
    return Outcome(next(iter(told)).label) if told else Outcome.SAME
