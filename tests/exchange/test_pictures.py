"""Bytes that claim to be pictures: what is kept, what is refused, and what is taken out."""

import struct
import zlib
from io import BytesIO

import pytest
from PIL import Image

from lifecycle.exchange.pictures import reading
from lifecycle.exchange.pictures.kinds import MEGABYTE, BadPicture
from lifecycle.exchange.pictures.reading import check_document, check_picture
from tests.builders.condition import picture_bytes

GPS = 0x8825
ORIENTATION = 0x0112


def with_exif(width: int = 60, height: int = 40, *, orientation: int = 1, gps: bool) -> bytes:
    """A picture with left half black and right half white, and camera data."""
    image = Image.new("L", (width, height), 0)
    image.paste(255, (width // 2, 0, width, height))
    exif = Image.Exif()
    exif[ORIENTATION] = orientation
    exif[0x010F] = "Invented Camera"
    if gps:
        exif.get_ifd(GPS).update({1: "N", 2: (51.0, 30.0, 0.0), 3: "W", 4: (1.0, 2.0, 3.0)})
    out = BytesIO()
    image.convert("RGB").save(out, "JPEG", quality=95, exif=exif)
    return out.getvalue()


def opened(data: bytes) -> Image.Image:
    image = Image.open(BytesIO(data))
    image.load()
    return image


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF", "WEBP"])
def test_four_kinds_of_picture_are_kept(kind: str) -> None:
    data = picture_bytes(3000, 1500, kind)
    checked = check_picture(data)
    assert (checked.width, checked.height) == (3000, 1500)
    assert checked.original == data
    assert opened(checked.screen or b"").size == (1600, 800)
    assert opened(checked.thumbnail or b"").size == (1200, 600)


def test_a_small_picture_is_not_blown_up() -> None:
    checked = check_picture(picture_bytes(90, 60))
    assert opened(checked.screen or b"").size == opened(checked.thumbnail or b"").size == (90, 60)


def test_the_camera_s_orientation_is_honoured() -> None:
    """Orientation 6: the camera was held on its side (EXIF 2.3, tag 0x0112; from memory)."""
    checked = check_picture(with_exif(60, 40, orientation=6, gps=False))
    assert (checked.width, checked.height) == (40, 60)
    screen = opened(checked.screen or b"").convert("L")
    assert screen.size == (40, 60)
    # Turned a quarter clockwise, the dark left half lies on top.
    assert (screen.getpixel((20, 5)) or 0) < 60  # type: ignore[operator]
    assert (screen.getpixel((20, 55)) or 0) > 200  # type: ignore[operator]


def test_the_place_is_taken_out_and_the_pixels_stay() -> None:
    data = with_exif(orientation=6, gps=True)
    assert GPS in opened(data).getexif()
    checked = check_picture(data)
    kept = opened(checked.original)
    assert GPS not in kept.getexif()
    assert kept.getexif()[ORIENTATION] == 6
    assert kept.getexif()[0x010F] == "Invented Camera"
    assert kept.tobytes() == opened(data).tobytes()
    assert not opened(checked.screen or b"").getexif()


@pytest.mark.parametrize(
    "data",
    [
        b"not a picture at all",
        b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>",
        b"GIF89a" + bytes(40),
        b"%PDF-1.7 text",
    ],
    ids=["text", "svg", "gif", "pdf"],
)
def test_what_is_no_picture_is_refused_in_words(data: bytes) -> None:
    with pytest.raises(BadPicture, match="not a picture we can read"):
        check_picture(data)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "TIFF"])
@pytest.mark.parametrize("at_once", [True, False], ids=["decoded", "measured"])
def test_a_picture_that_is_cut_off_is_refused(
    kind: str, at_once: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    if not at_once:  # as a big one is looked at, without holding its pixels
        monkeypatch.setattr(reading, "AT_ONCE_PIXELS", 1000)
    whole = BytesIO()
    Image.effect_noise((400, 300), 60).convert("RGB").save(whole, kind)
    data = whole.getvalue()
    assert check_picture(data).original == data
    with pytest.raises(BadPicture, match="damaged or cut off"):
        check_picture(data[: len(data) // 2])


def test_a_png_that_holds_less_than_its_header_says_is_refused_unopened(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Interlaced or not, the rows are counted (PNG 1.2, 2.6 and 3.2) without keeping them."""
    monkeypatch.setattr(reading, "AT_ONCE_PIXELS", 0)
    assert len(bomb(9000)) < 10_000
    with pytest.raises(BadPicture, match="damaged or cut off"):
        check_picture(bomb(9000))
    out = BytesIO()
    Image.new("RGB", (33, 21)).save(out, "PNG", compress_level=0)
    data = bytearray(out.getvalue())
    data[28] = 1  # says: seven passes, which take more rows than were written
    with pytest.raises(BadPicture, match="damaged or cut off"):
        check_picture(bytes(data))


def test_a_jpeg_with_a_second_picture_behind_it_is_kept_as_a_jpeg() -> None:
    out = BytesIO()
    first = Image.new("RGB", (60, 40), "ivory")
    first.save(out, "MPO", save_all=True, append_images=[Image.new("RGB", (60, 40))])
    checked = check_picture(out.getvalue())
    assert (checked.mime, checked.original) == ("image/jpeg", out.getvalue())


def test_a_tiff_that_lies_on_its_side_is_turned_once() -> None:
    exif = Image.Exif()
    exif[ORIENTATION] = 6
    checked = check_picture(picture_bytes(60, 40, "TIFF", exif=exif))
    assert (checked.width, checked.height) == opened(checked.screen or b"").size == (40, 60)


def test_an_empty_file_is_refused() -> None:
    with pytest.raises(BadPicture, match="empty"):
        check_picture(b"")


def bomb(side: int) -> bytes:
    """A PNG of a few kilobytes that claims side × side pixels."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        return (
            struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
        )

    head = struct.pack(">IIBBBBB", side, side, 1, 0, 0, 0, 0)
    rows = zlib.compress(bytes((side // 8 + 1) * 64), 9)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


@pytest.mark.parametrize("side", [11_000, 60_000])
def test_a_decompression_bomb_is_not_opened(side: int) -> None:
    data = bomb(side)
    assert len(data) < 10_000
    with pytest.raises(BadPicture, match="more than 120 million pixels"):
        check_picture(data)


def test_a_scan_of_forty_megabytes_is_refused_with_its_size() -> None:
    with pytest.raises(BadPicture, match="has 40 MB; 25 MB is the most"):
        check_document(bytes(40 * MEGABYTE))


class TooLong(BytesIO):
    """A file that says it is longer than can be kept, without being it."""

    def tell(self) -> int:
        return 500 * MEGABYTE


def test_a_picture_of_five_hundred_megabytes_is_refused_before_it_is_read() -> None:
    with pytest.raises(BadPicture, match="has 500 MB; 400 MB is the most"):
        check_picture(TooLong())


def test_a_transparent_picture_lies_on_white() -> None:
    out = BytesIO()
    Image.new("RGBA", (30, 30), (0, 0, 0, 0)).save(out, "PNG")
    screen = opened(check_picture(out.getvalue()).screen or b"")
    assert screen.getpixel((15, 15)) == (255, 255, 255)


@pytest.mark.parametrize(
    ("data", "mime"),
    [
        (b"%PDF-1.7\n1 0 obj\n<<>>\nendobj\n%%EOF\n", "application/pdf"),
        (picture_bytes(), "image/jpeg"),
        (picture_bytes(kind="PNG"), "image/png"),
    ],
    ids=["pdf", "jpeg", "png"],
)
def test_scans_may_be_pdf_jpeg_or_png(data: bytes, mime: str) -> None:
    assert check_document(data).mime == mime


def test_other_documents_and_cut_off_ones_are_refused() -> None:
    with pytest.raises(BadPicture, match="must be a PDF, JPEG or PNG"):
        check_document(b"PK\x03\x04 a word processor's file")
    with pytest.raises(BadPicture, match="cut off"):
        check_document(b"%PDF-1.7\n1 0 obj\n")
