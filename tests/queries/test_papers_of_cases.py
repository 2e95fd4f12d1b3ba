"""Papers of a case are offered to whoever may print them: about everything in it, or not at all."""

import pytest

from lifecycle.process.stages import Stage
from lifecycle.process.words import PlaceKind
from lifecycle.queries.papers_of_cases import of_cases
from lifecycle.queries.printable import Asked
from lifecycle.records.models import PaperKind, Showing
from tests.builders.core import make_exhibition, make_museum, make_place, make_showing


@pytest.mark.django_db
def test_a_case_that_holds_something_shut_is_not_offered_with_its_conditions() -> None:
    make_museum()
    case = make_place(kind=PlaceKind.CASE)
    spots = [make_place(parent=case), make_place(parent=case)]
    exhibition = make_exhibition()
    mine, other = (
        make_showing(exhibition=exhibition, place=spot, stage=Stage.MOUNTING) for spot in spots
    )
    asked = Asked(exhibition=exhibition)
    only_mine = Showing.objects.filter(pk=mine.pk)

    assert list(of_cases(PaperKind.CASE_CONDITIONS, only_mine, asked)) == []
    (sheet,) = of_cases(PaperKind.READING_SHEET, only_mine, asked)
    (whole,) = of_cases(PaperKind.CASE_CONDITIONS, Showing.objects.all(), asked)
    assert sheet.uid == whole.uid == case.uid
    other.stage = Stage.WITHDRAWN
    other.save()
    assert list(of_cases(PaperKind.CASE_CONDITIONS, only_mine, asked))
