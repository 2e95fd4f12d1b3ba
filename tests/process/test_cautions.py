"""Each hazard gives its caution on each form and paper; common practice, typed here by hand."""

import pytest

from lifecycle.process.cautions import DEFER, CautionFor, cautions_for
from lifecycle.process.words import Hazard

DANGEROUS = [h for h in Hazard if h is not Hazard.NONE_KNOWN]


@pytest.mark.parametrize("activity", CautionFor)
@pytest.mark.parametrize("hazard", DANGEROUS)
def test_a_hazard_of_the_object_is_never_missing(hazard: Hazard, activity: CautionFor) -> None:
    found = cautions_for([hazard, Hazard.NONE_KNOWN], activity)
    assert [caution.hazard for caution in found if caution.hazard] == [hazard]
    assert found[0].about.lower() == hazard.label
    assert found[-1].text == DEFER


@pytest.mark.parametrize(
    ("activity", "words"),
    [
        (CautionFor.EXAMINE_UV, ("goggles", "seconds")),
        (CautionFor.EXAMINE_XRAY, ("licensed operator",)),
        (CautionFor.TREAT, ("extraction", "safety data sheet", "free iron")),
        (CautionFor.MOVE, ("25 kg", "one arm span", "path")),
        (CautionFor.INSTALL, ("platforms", "cool", "glazing breaks", "pacemaker")),
        (CautionFor.TAKE_DOWN, ("platforms", "glazing breaks")),
        (CautionFor.CONDITION_PAPER, ("exposure", "pencil")),
        (CautionFor.DEINSTALL_PAPER, ("Two people",)),
        (CautionFor.MATERIAL_TEST, ("Lead coupons", "eye protection")),
        (CautionFor.MOVEMENT_PAPER, ("Two people",)),
    ],
)
def test_the_activity_has_its_own_cautions(activity: CautionFor, words: tuple[str, ...]) -> None:
    text = " ".join(caution.text for caution in cautions_for([Hazard.NONE_KNOWN], activity))
    assert [word for word in words if word not in text] == []


def test_nothing_on_record_counts_as_not_assessed_and_none_known_as_none() -> None:
    assert cautions_for([], CautionFor.MOVE)[0].hazard is Hazard.NOT_ASSESSED
    found = cautions_for([Hazard.NONE_KNOWN], CautionFor.MOVE)
    assert all(caution.hazard is None for caution in found)


def test_every_caution_defers() -> None:
    for word in ("local codes", "safety data sheet", "licensed"):
        assert word in DEFER
