"""Two reports of one feature: the rule of measures, and words that do not chain.

Source of the rule and its numbers: our own, common practice has none in figures.
"""

from decimal import Decimal
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lifecycle.process.comparing import Measures, Outcome, by_measures, outcome
from lifecycle.process.words import FeatureState

S = FeatureState
STATES = st.sampled_from(list(FeatureState))


@pytest.mark.parametrize(
    ("then", "now", "wanted"),
    [
        (Measures(severity=1), Measures(severity=2), S.WORSE),
        (Measures(severity=2), Measures(severity=0), S.LESS),
        (Measures(count=3), Measures(count=4), S.WORSE),
        (Measures(length_mm=Decimal(14)), Measures(length_mm=Decimal(15)), S.SAME),
        (Measures(length_mm=Decimal(14)), Measures(length_mm=Decimal("15.4")), S.SAME),
        (Measures(length_mm=Decimal(14)), Measures(length_mm=Decimal("15.5")), S.WORSE),
        (Measures(length_mm=Decimal(100)), Measures(length_mm=Decimal(110)), S.SAME),
        (Measures(length_mm=Decimal(100)), Measures(length_mm=Decimal("110.1")), S.WORSE),
        (Measures(length_mm=Decimal(100)), Measures(length_mm=Decimal("89.9")), S.LESS),
        (Measures(width_mm=Decimal(3)), Measures(width_mm=Decimal(5)), S.WORSE),
        (
            Measures(severity=2, length_mm=Decimal(10)),
            Measures(severity=1, length_mm=Decimal(20)),
            S.WORSE,
        ),
        (Measures(severity=1), Measures(length_mm=Decimal(20)), None),
    ],
)
def test_a_measure_counts_beyond_one_millimetre_and_a_tenth(
    then: Measures, now: Measures, wanted: FeatureState | None
) -> None:
    assert by_measures(then, now) is wanted


@pytest.mark.parametrize(
    ("before", "said", "measured", "wanted"),
    [
        (S.FIRST_RECORD, [S.SAME], None, "same"),
        (S.FIRST_RECORD, [S.WORSE, S.SAME], None, "worse"),
        (S.FIRST_RECORD, [S.WORSE, S.SAME], S.SAME, "worse"),
        (S.FIRST_RECORD, [S.SAME], S.WORSE, "worse"),
        (S.FIRST_RECORD, [S.WORSE], S.LESS, "less"),
        (S.SAME, [S.WORSE, S.LESS], None, "worse and less in between"),
        (S.SAME, [S.WORSE, S.TREATED, S.SAME], S.LESS, "treated"),
        (S.SAME, [S.WORSE, S.GONE], None, "gone"),
        (S.SAME, [S.WORSE, S.NOT_LOOKED_AT], None, "not looked at"),
        (S.SAME, [S.COULD_NOT_BE_SEEN], S.WORSE, "could not be seen"),
        (S.NOT_LOOKED_AT, [S.SAME], None, "seen in the later report alone"),
        (None, [S.FIRST_RECORD], None, "new"),
        (S.SAME, [], None, "not in the later report"),
    ],
)
def test_the_comparison_table(
    before: FeatureState | None,
    said: list[FeatureState],
    measured: FeatureState | None,
    wanted: str,
) -> None:
    given_ = {"before": before, "said": said, "measured": measured, "face_was_seen": True}
    assert outcome(later=said[-1] if said else None, **given_) == wanted  # type: ignore[arg-type]


def test_new_is_said_only_where_the_face_was_looked_at() -> None:
    blind = outcome(before=None, later=S.FIRST_RECORD, said=[], face_was_seen=False, measured=None)
    assert (blind, blind.is_change) == (Outcome.SEEN_LATER_ONLY, False)


@given(between=st.lists(STATES, max_size=4), before=STATES, later=STATES)
def test_the_order_of_the_looks_between_changes_nothing(
    between: list[FeatureState], before: FeatureState, later: FeatureState
) -> None:
    answers = {
        outcome(before=before, later=later, said=[*order, later], face_was_seen=True, measured=None)
        for order in permutations(between)
    }
    assert len(answers) == 1


@given(before=st.sampled_from([S.SAME, S.FIRST_RECORD]), count=st.integers(1, 5))
def test_all_unchanged_and_nothing_new_is_no_change(before: FeatureState, count: int) -> None:
    said = [S.SAME] * count
    answer = outcome(before=before, later=S.SAME, said=said, face_was_seen=True, measured=S.SAME)
    assert not answer.is_change
