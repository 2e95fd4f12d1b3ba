"""Words of the condition report: nothing typed twice that another page says differently."""

from lifecycle.papers.words.parts import FaceWords


def test_a_landmark_that_says_where_it_is_is_not_doubled() -> None:
    said = FaceWords(label="front", kind="side", landmark="Top left: a drawn sun")
    bare = FaceWords(label="front", kind="side", landmark="a drawn sun")

    behind = FaceWords(label="front", kind="side", landmark="A drawn sun at top left")

    assert behind.top_left == "A drawn sun at top left"
    assert said.top_left == bare.top_left.replace("Top left: a", "Top left: a")
    assert bare.top_left == "Top left: a drawn sun"
