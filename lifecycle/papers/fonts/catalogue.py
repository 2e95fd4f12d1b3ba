"""Which fonts a paper may use, in order, and which of them covers a character.

Fonts are taken from installed packages, never from this repository: the wheel `pymupdf-fonts`
(Noto Sans, FiraGO, Cascadia Mono), and for Chinese, Japanese and Korean a TrueType file that the
museum names or that a package of the system brings. Every font is embedded in the paper. Fonts
that a reader would have to own (the 'base fourteen', the Asian ones that PDF only names) are never
used, because they print blank where they are missing.
"""

import io
import os
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pymupdf_fonts
import uharfbuzz
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFError, TTFont

CJK_SETTING = "SHOWREST_CJK_FONT"
CJK_PACKAGE = "fonts-ipaexfont-gothic"
#: Where Debian's packages put fonts that a paper can embed.
SYSTEM_FONTS = (
    ("ipaex", "/usr/share/fonts/opentype/ipaexfont-gothic/ipaexg.ttf"),
    ("droid", "/usr/share/fonts/truetype/droid/DroidSansFallbackFull.ttf"),
    ("dejavu", "/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf"),
)
#: Glyphs that no character stands for (joined Arabic, marks placed by the font) get a private one.
PRIVATE = 0xF0000


class FontFault(Exception):
    """The font file that the museum named cannot be used; the text says why and what to do."""


@dataclass(frozen=True)
class Style:
    """How a piece of text is set: size in points, weight, fixed width or not."""

    size: float = 10
    bold: bool = False
    mono: bool = False
    leading: float = 1.3

    @property
    def line(self) -> float:
        """Height of one line in points."""
        return self.size * self.leading


class Letters(TTFont):  # type: ignore[misc]
    """One embedded font that knows which text each of its shaped glyphs stands for."""

    def __init__(self, name: str, data: bytes) -> None:
        super().__init__(name, io.BytesIO(data))
        self.said: dict[int, str] = {}
        self.blob = uharfbuzz.Face(uharfbuzz.Blob(data))
        self.shaper = uharfbuzz.Font(self.blob)
        self.per_em = 1000 / self.blob.upem

    def covers(self, text: str) -> bool:
        """Whether every character of the text has a glyph here."""
        return all(ord(character) in self.face.charToGlyph for character in text)

    def character_for(self, glyph: int, source: str) -> str:
        """The character that stands for a glyph on the page: its own, or a private one."""
        if len(source) == 1 and self.face.charToGlyph.get(ord(source)) == glyph:
            return source
        code = PRIVATE + glyph
        if code not in self.face.charToGlyph:
            self.face.charToGlyph[code] = glyph
            advance = self.shaper.get_glyph_h_advance(glyph)
            self.face.charWidths[code] = round(advance * self.per_em)
        return chr(code)

    def remember(self, said: Iterable[tuple[int, str]]) -> None:
        """Note which text the glyphs of a drawn run stand for; the first meaning is kept."""
        for code, source in said:
            if code >= PRIVATE:
                self.said.setdefault(code, source)

    def addObjects(self, doc: Any) -> None:  # noqa: N802 - the library's name
        """Embed the font, and say in the paper which text each glyph stands for."""
        subsets = [list(subset) for subset in self.state[doc].subsets]
        super().addObjects(doc)
        internal = doc.fontMapping[self.fontName][1:]
        for number, subset in enumerate(subsets):
            font = doc.idToObject["BasicFonts"].dict[f"{internal}+{number}"]
            doc.idToObject[font.ToUnicode.name].content = self._text_map(subset)

    def _text_map(self, subset: list[int]) -> str:
        lines = []
        for code, character in enumerate(subset):
            text = self.said.get(character, chr(character))
            if text and character:
                lines.append(f"<{code:02X}> <{text.encode('utf-16-be').hex().upper()}>")
        blocks = [
            f"{len(part)} beginbfchar\n" + "\n".join(part) + "\nendbfchar"
            for part in (lines[at : at + 100] for at in range(0, len(lines), 100))
        ]
        return (
            "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n"
            "/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def\n"
            "/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n"
            "1 begincodespacerange\n<00> <FF>\nendcodespacerange\n"
            + "\n".join(blocks)
            + "\nendcmap\nCMapName currentdict /CMap defineresource pop\nend\nend"
        )


#: Wheel fonts by weight and width, first choice first.
PACKAGED = {
    (False, False): ("notos", "figo"),
    (True, False): ("notosbo", "figbo"),
    (False, True): ("cascadia",),
    (True, True): ("cascadiab",),
}


@lru_cache(maxsize=64)
def _packaged(name: str) -> Letters:
    font = Letters(f"showrest-{name}", pymupdf_fonts.myfont(name))
    pdfmetrics.registerFont(font)
    return font


@lru_cache(maxsize=16)
def _from_file(name: str, path: str) -> Letters:
    try:
        font = Letters(f"showrest-{name}", Path(path).read_bytes())
    except (OSError, TTFError) as fault:
        raise FontFault(
            f"The font named in {CJK_SETTING} cannot be used: {fault}. "
            "Name a TrueType file (.ttf) with TrueType outlines, or leave the setting empty."
        ) from fault
    pdfmetrics.registerFont(font)
    return font


def font_files() -> Iterator[tuple[str, str]]:
    """Font files of this machine that may be embedded: the museum's own setting comes first."""
    if named := os.environ.get(CJK_SETTING, ""):
        yield f"named-{named}", named
    if (spec := find_spec("matplotlib_fontja")) and spec.submodule_search_locations:
        for folder in spec.submodule_search_locations:
            yield from (("fontja", str(file)) for file in sorted(Path(folder).rglob("ipaexg.ttf")))
    for name, path in SYSTEM_FONTS:
        if Path(path).is_file():
            yield name, path


def fonts_for(style: Style) -> Iterator[Letters]:
    """Fonts that may set text of a style, in order; later ones are opened only when asked for."""
    yield from map(_packaged, PACKAGED[style.bold, style.mono])
    if style.mono:
        yield from map(_packaged, PACKAGED[style.bold, False])
    for name, path in font_files():
        yield _from_file(name, path)


def is_silent(character: str) -> bool:
    """Whether a character has no ink of its own: line ends, joiners, direction marks."""
    return unicodedata.category(character) in {"Cc", "Cf"}


def clean(text: str) -> str:
    """Text as it is set: composed (NFC), tabs as spaces, characters without ink left out."""
    composed = unicodedata.normalize("NFC", text.replace("\t", " ").replace("\u00a0", " "))
    return "".join(one for one in composed if one == "\n" or not is_silent(one))


def clusters(text: str) -> Iterator[str]:
    """A base character with the marks that stand on it, one group at a time."""
    group = ""
    for character in text:
        if group and unicodedata.category(character).startswith("M"):
            group += character
        else:
            if group:
                yield group
            group = character
    if group:
        yield group


@lru_cache(maxsize=4096)
def font_of(cluster: str, style: Style) -> Letters | None:
    """The first font that has every character of the group, or None."""
    return next((font for font in fonts_for(style) if font.covers(cluster)), None)


def uncovered(text: str) -> str | None:
    """The first group of characters that no font on this machine can draw, or None."""
    plain = Style()
    for group in clusters(clean(text).replace("\n", " ")):
        if font_of(group, plain) is None:
            return group
    return None


def forget_shapes() -> None:
    """Start a new paper: what glyphs stood for in the last one must not colour this one."""
    for font in list(_opened()):
        font.said.clear()


def _opened() -> Iterator[Letters]:
    for name in pdfmetrics.getRegisteredFontNames():
        if name.startswith("showrest-"):
            yield pdfmetrics.getFont(name)
