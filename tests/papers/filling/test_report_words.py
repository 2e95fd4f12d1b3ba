"""Words of the condition report: nothing typed twice that another page says differently."""

from datetime import timedelta

from lifecycle.papers.filling.features import last_look
from lifecycle.papers.words.parts import FaceWords
from lifecycle.records.models import Look
from tests.builders.core import AT


def test_a_landmark_that_says_where_it_is_is_not_doubled() -> None:
    said = FaceWords(label="front", kind="side", landmark="Top left: a drawn sun")
    bare = FaceWords(label="front", kind="side", landmark="a drawn sun")

    behind = FaceWords(label="front", kind="side", landmark="A drawn sun at top left")

    assert behind.top_left == "A drawn sun at top left"
    assert said.top_left == bare.top_left.replace("Top left: a", "Top left: a")
    assert bare.top_left == "Top left: a drawn sun"


def test_a_look_at_another_face_says_nothing_of_this_one() -> None:
    day = timedelta(days=1)
    newest_first = [
        Look(face_id=2, looked_at=AT),
        Look(face_id=None, looked_at=AT - day),
        Look(face_id=1, looked_at=AT - 2 * day),
    ]

    assert last_look(newest_first, 2) is newest_first[0]
    assert last_look(newest_first, 1) is newest_first[1]
    assert last_look(newest_first, 1, until=AT - 2 * day) is newest_first[2]
    assert last_look(newest_first, 2, until=AT - 2 * day) is None
    assert last_look(newest_first, None) is newest_first[0]
