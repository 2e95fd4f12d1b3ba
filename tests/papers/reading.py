"""How tests read a paper: text, word boxes, fonts and page images."""

import io
import subprocess
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import pdfplumber
from PIL import Image
from pypdf import PdfReader

from lifecycle.papers.ink.draw import Drawn, draw
from lifecycle.papers.sheets import PaperWords, sheet_of
from lifecycle.papers.words.blocks import Stamp
from tests.builders.papers_out import stamp

SIZES = {"a4": (595.276, 841.89), "letter": (612.0, 792.0)}
HALF_SIZES = {"a4": (419.528, 595.276), "letter": (396.0, 612.0)}


def drawn_picture(_sha256: str) -> bytes:
    """An invented sheet with lines, as a stored picture would be."""
    image = Image.new("RGB", (900, 640), (238, 230, 212))
    for y in range(60, 600, 30):
        image.paste((96, 80, 60), (80, y, 400, y + 2))
        image.paste((96, 80, 60), (500, y, 820, y + 2))
    out = io.BytesIO()
    image.save(out, "JPEG")
    return out.getvalue()


@lru_cache(maxsize=64)
def ink(words: PaperWords, *, page_size: str = "a4", stamped: Stamp | None = None) -> Drawn:
    """The paper drawn from its words; drawn once for all tests that read it."""
    return ink_anew(words, page_size=page_size, stamped=stamped)


def ink_anew(words: PaperWords, *, page_size: str = "a4", stamped: Stamp | None = None) -> Drawn:
    """The paper drawn from its words, each time."""
    return draw(sheet_of(words), stamped or stamp(), page_size=page_size, pictures=drawn_picture)


def page_texts(pdf: bytes) -> list[str]:
    return [page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages]


@dataclass(frozen=True)
class WordBox:
    page: int
    text: str
    left: float
    top: float
    right: float
    bottom: float


@lru_cache(maxsize=64)
def word_boxes(pdf: bytes) -> list[WordBox]:
    """Every word with the box it covers, in points from the upper left corner."""
    with pdfplumber.open(io.BytesIO(pdf)) as paper:
        return [
            WordBox(number, word["text"], word["x0"], word["top"], word["x1"], word["bottom"])
            for number, page in enumerate(paper.pages, start=1)
            for word in page.extract_words(keep_blank_chars=False)
        ]


def letter_sizes(pdf: bytes) -> set[float]:
    """Every type size on the paper, in points."""
    with pdfplumber.open(io.BytesIO(pdf)) as paper:
        return {
            round(char["size"] if char["upright"] else char["x1"] - char["x0"], 1)
            for page in paper.pages
            for char in page.chars
        }


def fonts(pdf: bytes) -> dict[str, bool]:
    """Fonts named on the pages, and whether their outlines are inside the file."""
    found = {}
    for page in PdfReader(io.BytesIO(pdf)).pages:
        resources: Any = page["/Resources"]
        for reference in resources["/Font"].values():
            font = reference.get_object()
            descriptor = font.get("/FontDescriptor")
            found[font["/BaseFont"]] = (
                descriptor is not None and "/FontFile2" in descriptor.get_object()
            )
    return found


def ink_inside(pdf: bytes, box: WordBox, folder: Path) -> int:
    """How many dark pixels the page image has where a word stands (poppler's pdftoppm, 150 dpi)."""
    source = folder / "paper.pdf"
    source.write_bytes(pdf)
    page = str(box.page)
    subprocess.run(
        ["pdftoppm", "-r", "150", "-gray", "-png", "-f", page, "-l", page, source, folder / "page"],
        check=True,
    )
    (image_file,) = folder.glob("page*.png")
    with Image.open(image_file) as image:
        scale = 150 / 72
        cut = image.crop(
            (
                int(box.left * scale),
                int(box.top * scale),
                int(box.right * scale) + 1,
                int(box.bottom * scale) + 1,
            )
        )
        histogram = cut.convert("L").histogram()
    image_file.unlink()
    return sum(histogram[:100])
