"""Words of the condition report: nothing typed twice that another page says differently."""

from lifecycle.pages.condition.forms import GRADE_MEANS
from lifecycle.papers.filling.condition_report import GRADE_MEANINGS
from lifecycle.papers.words.parts import FaceWords
from lifecycle.process.words import Grade


def test_paper_and_screen_define_the_four_grades_alike() -> None:
    for grade in Grade:
        on_screen = GRADE_MEANS[grade].split(": ", 1)[1]
        assert GRADE_MEANINGS[grade].lower() == on_screen.lower()


def test_a_landmark_that_says_where_it_is_is_not_doubled() -> None:
    said = FaceWords(label="front", kind="side", landmark="Top left: a drawn sun")
    bare = FaceWords(label="front", kind="side", landmark="a drawn sun")

    behind = FaceWords(label="front", kind="side", landmark="A drawn sun at top left")

    assert behind.top_left == "A drawn sun at top left"
    assert said.top_left == bare.top_left.replace("Top left: a", "Top left: a")
    assert bare.top_left == "Top left: a drawn sun"
