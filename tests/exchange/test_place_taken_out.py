"""The place where a picture was taken is blanked in the file itself; nothing else changes."""

import struct
import zlib
from io import BytesIO

import pytest
from PIL import Image, PngImagePlugin, TiffImagePlugin

from lifecycle.exchange.pictures.kinds import BadPicture
from lifecycle.exchange.pictures.place import GPS, place_patches
from lifecycle.exchange.pictures.reading import check_picture
from tests.exchange.heic import HEIC

MAKER = 0x010F
XMP = (
    '<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:Description exif:GPSLatitude="51,30.123N" '
    "exif:GPSLongitude='1,2.5W' dc:rights=\"Hollinshire\"><exif:GPSAltitude>12/1</exif:GPSAltitude>"
    "</rdf:Description></x:xmpmeta>"
)
SAID = (b"51,30.123N", b"1,2.5W", b"12/1")


def notes() -> Image.Exif:
    exif = Image.Exif()
    exif[MAKER] = "Invented Camera"
    place = {1: "N", 2: (51.0, 30.0, 7.5), 3: "W", 4: (1.0, 2.0, 3.0), 29: "2026:11:26"}
    exif.get_ifd(GPS).update(place)
    return exif


def a_tiff(*, big: bool) -> bytes:
    """A TIFF whose first directory points to a place."""
    out = BytesIO()
    tags = TiffImagePlugin.ImageFileDirectory_v2()
    tags[MAKER] = "Invented Camera"
    tags[GPS] = {1: "N", 2: (51.0, 30.0, 7.5), 29: "2026:11:26"}
    tags.tagtype[GPS] = 4
    tags[700] = XMP.encode()
    tags.tagtype[700] = 1
    Image.effect_noise((40, 30), 60).convert("RGB").save(out, "TIFF", tiffinfo=tags, big_tiff=big)
    return out.getvalue()


def saved(kind: str) -> bytes:
    if kind in {"TIFF", "BigTIFF"}:
        return a_tiff(big=kind == "BigTIFF")
    out = BytesIO()
    more = {"PNG": "pnginfo", "WEBP": "xmp", "JPEG": "xmp"}[kind]
    text = PngImagePlugin.PngInfo()
    text.add_itxt("XML:com.adobe.xmp", XMP)
    image = Image.effect_noise((40, 30), 60).convert("RGB")
    image.save(out, kind, exif=notes(), **{more: text if kind == "PNG" else XMP.encode()})
    return out.getvalue()


def read(data: bytes) -> Image.Image:
    image = Image.open(BytesIO(data))
    image.load()
    return image


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "TIFF", "BigTIFF"])
def test_the_place_goes_and_pixels_length_and_other_notes_stay(kind: str) -> None:
    data = saved(kind)
    assert GPS in read(data).getexif()
    assert all(said in data for said in SAID)
    kept = check_picture(data).original
    assert GPS not in read(kept).getexif()
    assert not any(said in kept for said in (*SAID, b"2026:11:26"))
    assert len(kept) == len(data)
    assert read(kept).tobytes() == read(data).tobytes()
    assert read(kept).getexif()[MAKER] == "Invented Camera"
    assert b"Hollinshire" in kept


def test_a_heic_is_read_upright_and_loses_its_place() -> None:
    checked = check_picture(HEIC)
    assert (checked.mime, checked.width, checked.height) == ("image/heic", 64, 32)
    assert len(checked.original) == len(HEIC)
    with_place, kept = read(HEIC), read(checked.original)
    assert GPS in with_place.getexif()
    assert GPS not in kept.getexif()
    assert kept.getexif()[MAKER] == "Invented Camera"
    assert kept.tobytes() == with_place.tobytes()
    screen = read(checked.screen or b"").convert("L")
    assert (screen.getpixel((5, 15)), screen.getpixel((60, 15))) == (20, 230)
    with pytest.raises(BadPicture, match="damaged or cut off"):
        check_picture(HEIC[: len(HEIC) // 2])


def test_a_png_says_no_place_in_packed_text_or_in_hexadecimal() -> None:
    """Both can't be blanked at their length, so the whole chunk becomes one nobody reads."""
    text = PngImagePlugin.PngInfo()
    text.add_itxt("XML:com.adobe.xmp", XMP, zip=True)
    text.add_text("Raw profile type exif", "45786966")
    text.add_text("Comment", "stays")
    out = BytesIO()
    Image.new("RGB", (4, 4)).save(out, "PNG", pnginfo=text)
    kept = check_picture(out.getvalue()).original
    assert len(kept) == len(out.getvalue())
    assert read(kept).info["Comment"] == "stays"
    assert not {"XML:com.adobe.xmp", "Raw profile type exif"} & set(read(kept).info)
    at = 8
    while at < len(kept):
        length, name = struct.unpack(">I4s", kept[at : at + 8])
        body = kept[at + 8 : at + 8 + length]
        check = struct.unpack(">I", kept[at + 8 + length : at + 12 + length])[0]
        assert check == zlib.crc32(name + body), name
        at += 12 + length


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "TIFF", "HEIF"])
def test_notes_that_lead_in_circles_or_beyond_the_end_are_left_alone(kind: str) -> None:
    circle = b"II*\0" + struct.pack("<I", 8) + struct.pack("<HI", 0, 8)
    beyond = b"II*\0" + struct.pack("<I", 9999)
    many = b"II*\0" + struct.pack("<IH", 8, 65_535) + bytes(30)
    for notes_of in (circle, beyond, many, b"II*\0"):
        exif = b"Exif\0\0" + notes_of
        data = {
            "JPEG": b"\xff\xd8\xff\xe1" + struct.pack(">H", len(exif) + 2) + exif + b"\xff\xda",
            "PNG": b"\x89PNG\r\n\x1a\n" + struct.pack(">I4s", len(notes_of), b"eXIf") + notes_of,
            "WEBP": b"RIFF\0\0\0\0WEBPEXIF" + struct.pack("<I", len(exif)) + exif,
            "TIFF": notes_of,
            "HEIF": b"\0\0\0\x18ftypheic" + exif,
        }[kind]
        assert place_patches(BytesIO(data), kind) == []
