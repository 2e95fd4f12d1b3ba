"""Tags and labels: their true size on any stock, and that nothing that warns is left out.

Outside checks: sizes of tags and labels are our own choice; A7 is 74 × 105 mm and eight of it make
an A4 (ISO 216, which rounds down to whole millimetres).
"""

import io
import itertools
from dataclasses import replace

import pdfplumber
import pytest

from lifecycle.papers.ink.draw import Sheet, draw_pack
from lifecycle.papers.sheets import PaperWords, sheet_of
from lifecycle.papers.words.cards import (
    FacsimileLabelWords,
    HousingLabelWords,
    MountLabelWords,
    ObjectTagWords,
)
from lifecycle.papers.words.parts import PictureWords
from lifecycle.process.cautions import CautionFor, cautions_for
from lifecycle.process.words import Hazard
from tests.builders.papers_out import BAROMETER, DIARY, INSTITUTION, stamp
from tests.papers.reading import drawn_picture, ink, letter_sizes, page_texts, word_boxes

MM = 72 / 25.4
REAL = [one for one in Hazard if one not in (Hazard.NONE_KNOWN, Hazard.NOT_ASSESSED)]
EVERY_HAZARD = replace(
    BAROMETER,
    hazards=tuple(one.value for one in REAL),
    hazard_line=f"Hazards: {'; '.join(f'{one.label} (tested; nitrile gloves)' for one in REAL)}",
    cautions=tuple(c.text for c in cautions_for(REAL, CautionFor.MOVEMENT_PAPER)),
)
HOUSING = HousingLabelWords(
    institution=INSTITUTION,
    housing_no="HG-0012",
    edition=2,
    about=DIARY,
    picture=PictureWords(sha256="a" * 64, width=900, height=640),
    contents="1 photograph album + 3 parts: loose print 1, loose print 2, loose print 3",
    kind="drop-spine box",
    board="unbuffered board, air can reach it",
    orientation="flat_face_up",
    orientation_words="flat, face up",
    lift="both hands under the tray",
    weight="2.4 kg",
    sensitivity="High",
    resting=("until Fri 7 March 2031",),
    made="Thu 3 September 2026, Rufus Tiller",
)
TAG = ObjectTagWords(institution=INSTITUTION, about=DIARY)
MOUNT = MountLabelWords(
    institution=INSTITUTION, mount_no="MT-0007", about=DIARY, faces="ff. 31v-32r, ff. 88v-89r"
)
FACSIMILE = FacsimileLabelWords(
    institution=INSTITUTION,
    facsimile_no="FX-0003",
    about=DIARY,
    made="March 2026, Ada Kestrel",
    back_mark="Facsimile made 2026, not the original",
    public_line="A facsimile: the book can show one opening at a time.",
    rests="The original rests until 7 March 2031.",
    size="100 % of the original",
    method="pigment print, cotton paper",
    handled="no",
    after_show="keep for next time",
)
SIZES: list[tuple[PaperWords, list[tuple[float, float]]]] = [
    (TAG, [(70, 40)]),
    (HOUSING, [(105, 74)]),
    (replace(HOUSING, about=BAROMETER), [(105, 74), (105, 74)]),
    (MOUNT, [(50, 25)]),
    (FACSIMILE, [(105, 37), (105, 74), (105, 74)]),
]


def frames(pdf: bytes) -> list[list[tuple[float, float, float, float]]]:
    """The lines to cut along, page by page: left, top, width, height [mm]."""
    with pdfplumber.open(io.BytesIO(pdf)) as paper:
        return [
            [
                tuple(side / MM for side in (r["x0"], r["top"], r["width"], r["height"]))
                for r in page.rects
                if r["stroke"] and not r["fill"] and r["width"] > 49 * MM
            ]
            for page in paper.pages
        ]


def page_sizes(pdf: bytes) -> list[tuple[float, float]]:
    with pdfplumber.open(io.BytesIO(pdf)) as paper:
        return [(page.width / MM, page.height / MM) for page in paper.pages]


@pytest.mark.parametrize("size", ["a4", "letter"])
@pytest.mark.parametrize(("words", "wanted"), SIZES, ids=lambda one: type(one).__name__)
def test_a_label_on_plain_paper_has_its_true_size(
    words: PaperWords, wanted: list[tuple[float, float]], size: str
) -> None:
    """A 105 × 74 mm label is 105 × 74 mm between the lines it is cut along."""
    (found,) = frames(ink(words, page_size=size).pdf)
    assert [(width, height) for _, _, width, height in found] == [
        pytest.approx(one, abs=0.05) for one in wanted
    ]


@pytest.mark.parametrize(("words", "wanted"), SIZES, ids=lambda one: type(one).__name__)
def test_on_card_the_page_is_the_label(
    words: PaperWords, wanted: list[tuple[float, float]]
) -> None:
    pdf = ink(words, page_size="card").pdf
    assert page_sizes(pdf) == [pytest.approx(one, abs=0.05) for one in wanted]
    assert not any(frames(pdf))


def test_the_line_above_the_labels_is_as_long_as_it_says() -> None:
    """Whoever measures it sees whether the printer kept to 100 %."""
    with pdfplumber.open(io.BytesIO(ink(HOUSING).pdf)) as paper:
        (page,) = paper.pages
        assert "This line is 100 mm long" in page.extract_text()
        lengths = [line["width"] / MM for line in page.lines]
    assert lengths == [pytest.approx(100, abs=0.05)]


def test_a_pack_of_labels_shares_its_sheets_and_no_two_lie_on_each_other() -> None:
    nine = [replace(HOUSING, housing_no=f"HG-{at:04d}") for at in range(1, 10)]
    labels: list[PaperWords] = [*nine, TAG, MOUNT, FACSIMILE]
    drawn = draw_pack(
        [Sheet(sheet_of(one), stamp(), "a4") for one in labels],
        pictures=drawn_picture,
    )
    pages = frames(drawn.pdf)
    assert drawn.pages == len(pages) == 4
    assert sum(len(page) for page in pages) == 14
    for page in pages:
        for at, (left, top, width, height) in enumerate(page):
            assert 9.9 <= left <= left + width <= 200.1
            assert 9.9 <= top <= top + height <= 287.1
            for x, y, wide, high in page[at + 1 :]:
                apart = x >= left + width or left >= x + wide or y >= top + height
                assert apart or top >= y + high


def test_card_that_comes_apart_takes_eight_labels_in_its_eighths() -> None:
    labels = [Sheet(sheet_of(HOUSING), stamp(), "a4_eight")] * 9
    pdf = draw_pack(labels, pictures=drawn_picture).pdf
    boxes = [word for word in word_boxes(pdf) if word.text == "HCM.1908.12"]
    assert [box.page for box in boxes] == [1] * 8 + [2]
    columns = sorted({round(box.left / MM) for box in boxes})
    assert columns == [4, 109]
    tops = sorted({round(box.top / MM, 1) for box in boxes if box.page == 1})
    assert [round(b - a, 2) for a, b in itertools.pairwise(tops)] == [
        pytest.approx(74.25, abs=0.11)
    ] * 3


@pytest.mark.parametrize("size", ["a4", "card"])
@pytest.mark.parametrize(
    "words",
    [replace(one, about=EVERY_HAZARD) for one in (TAG, HOUSING, MOUNT)],
    ids=lambda one: type(one).__name__,
)
def test_no_hazard_falls_off_a_label_however_many_there_are(words: PaperWords, size: str) -> None:
    text = " ".join(" ".join(page_texts(ink(words, page_size=size).pdf)).split())
    for hazard in REAL:
        assert hazard.label in text, hazard


def test_the_hazard_label_says_who_wins_where_its_words_and_the_local_code_differ() -> None:
    text = " ".join(page_texts(ink(replace(HOUSING, about=EVERY_HAZARD)).pdf))
    assert "Read before opening" in text
    assert "does not replace local codes" in " ".join(text.split())
    assert "Read before opening" not in " ".join(page_texts(ink(HOUSING).pdf))


@pytest.mark.parametrize(
    "words",
    [
        *(words for words, _ in SIZES),
        replace(TAG, about=EVERY_HAZARD),
        replace(
            HOUSING, about=replace(EVERY_HAZARD, object_number="HCM.1922.7.12.a-f, box 3 of 4")
        ),
    ],
    ids=lambda one: type(one).__name__,
)
def test_every_word_stands_inside_its_label_at_nine_points_or_more(words: PaperWords) -> None:
    pdf = ink(words, page_size="card").pdf
    assert min(letter_sizes(pdf)) >= 9
    sizes = page_sizes(pdf)
    for word in word_boxes(pdf):
        width, height = sizes[word.page - 1]
        assert 1.9 * MM <= word.left <= word.right <= (width - 1.9) * MM, word
        assert 1.5 * MM <= word.top <= word.bottom <= (height - 1.5) * MM, word


def test_the_number_is_never_cut() -> None:
    long = replace(TAG, about=replace(DIARY, object_number="HCM.1922.7.1-12 (mounted as one set)"))
    text = "".join("".join(page_texts(ink(long, page_size="card").pdf)).split())
    assert "HCM.1922.7.1-12(mountedasoneset)" in text


LONG_CAPTION = replace(
    FACSIMILE,
    about=replace(DIARY, title="Three centuries of watching the weather in Hollinshire " * 4),
    public_line="A facsimile: the book can show one opening at a time, and this one rests. " * 3,
)


@pytest.mark.parametrize(
    ("words", "least"), [(FACSIMILE, 18), (LONG_CAPTION, 14)], ids=["ordinary", "long"]
)
def test_a_caption_is_set_to_be_read_in_a_dim_gallery_and_shrinks_no_further(
    words: FacsimileLabelWords, least: float
) -> None:
    """Outside check: 18 points for an object's label is common practice; the floor is ours."""
    with pdfplumber.open(io.BytesIO(ink(words, page_size="card").pdf)) as paper:
        captions = [page for page in paper.pages if "Facsimile\n" in page.extract_text()]
        sizes = {
            round(char["size"])
            for page in captions
            for char in page.chars
            if char["bottom"] < page.height - 8 * MM
        }
        said = " ".join(" ".join(page.extract_text() for page in captions).split())
    assert min(sizes) == least
    assert words.rests in said


def test_a_facsimile_can_not_be_taken_for_the_object() -> None:
    """Back mark: number of its own, 'copy of', maker, month and year, 'not the original'."""
    back, public, box = page_texts(ink(FACSIMILE, page_size="card").pdf)
    for text in (back, public, box):
        assert "FX-0003" in text
    assert "Not the original" in back
    assert "Copy of HCM.1908.12" in back
    assert "March 2026, Ada Kestrel" in back
    assert "rests until 7 March 2031" in " ".join(public.split())
    assert "May be handled" in box
    assert "keep for next time" in box
    assert "Never closed in with the original" in box
