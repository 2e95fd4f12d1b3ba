"""Levels of a big picture: every pixel in its part, at full size and at halves, upright."""

from io import BytesIO
from zipfile import ZipFile

import pytest
from PIL import Image, ImageChops, ImageOps, ImageStat

from lifecycle.exchange.pictures import levels
from lifecycle.exchange.pictures.drawing import box_as_taken, upright
from lifecycle.exchange.pictures.kinds import BadPicture
from lifecycle.exchange.pictures.levels import draw_levels, parts_in


def gradient(width: int, height: int) -> Image.Image:
    """No two places look alike, and JPEG keeps it closely."""
    across = Image.linear_gradient("L").rotate(90).resize((width, height))
    down = Image.linear_gradient("L").resize((width, height))
    return Image.merge("RGB", (across, down, Image.new("L", (width, height), 90)))


def put_together(parts: ZipFile, level: int, size: tuple[int, int]) -> Image.Image:
    whole = Image.new("RGB", size)
    for name in parts.namelist():
        at, _, place = name.removesuffix(".jpg").partition("/")
        if int(at) == level:
            column, row = map(int, place.split("-"))
            part = Image.open(BytesIO(parts.read(name)))
            assert not part.getexif()
            whole.paste(part, (column * 512, row * 512))
    return whole


def test_the_parts_of_each_level_put_together_are_the_picture_upright() -> None:
    exif = Image.Exif()
    exif[0x0112] = 6
    exif[0x010F] = "Invented Camera"
    picture = gradient(1301, 1830)
    data, target = BytesIO(), BytesIO()
    picture.save(data, "JPEG", quality=95, exif=exif)
    told: list[tuple[int, int]] = []
    screen, thumbnail = draw_levels(data, target, lambda done, total: told.append((done, total)))
    seen = ImageOps.exif_transpose(Image.open(data))
    assert seen.size == (1830, 1301)
    with ZipFile(target) as kept:
        assert len(kept.namelist()) == parts_in(1830, 1301) == told[-1][0] == told[-1][1] == 12
        whole = put_together(kept, 0, seen.size)
    away = ImageStat.Stat(ImageChops.difference(whole, seen.convert("RGB")))
    assert max(away.mean) < 1.5, away.mean
    assert max(high for _, high in away.extrema) < 24, away.extrema
    assert Image.open(BytesIO(screen)).size == (915, 651)
    assert Image.open(BytesIO(thumbnail)).size == (915, 651)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_box_is_cut_where_it_lies_whichever_way_the_camera_was_held(orientation: int) -> None:
    """Against Pillow's own turning of the whole picture."""
    exif = Image.Exif()
    exif[0x0112] = orientation
    data = BytesIO()
    Image.effect_noise((37, 23), 60).save(data, "PNG", exif=exif)
    taken = Image.open(data)
    box = (3, 2, 11, 17)
    cut = upright(taken.crop(box_as_taken(box, taken.size, orientation)), taken)
    assert cut.tobytes() == ImageOps.exif_transpose(taken).crop(box).tobytes()


def test_what_can_t_be_decoded_is_said_and_the_next_picture_gets_its_turn() -> None:
    data = BytesIO()
    Image.effect_noise((300, 300), 60).convert("RGB").save(data, "TIFF", compression="tiff_lzw")
    cut = bytearray(data.getvalue())
    cut[2000:60_000] = bytes(58_000)
    with pytest.raises(BadPicture, match="damaged or cut off"):
        draw_levels(BytesIO(bytes(cut)), BytesIO(), lambda done, total: None)
    screen, _ = draw_levels(data, BytesIO(), lambda done, total: None)
    assert Image.open(BytesIO(screen)).size == (300, 300)


def test_a_second_picture_waits_for_the_first_and_says_so_meanwhile(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Two decoded pictures of 100 megapixels at once would need a gigabyte."""
    monkeypatch.setattr(levels, "PATIENCE_S", 0.01)
    waited: list[tuple[int, int]] = []

    def tell(done: int, total: int) -> None:
        waited.append((done, total))
        if len(waited) == 3:
            raise InterruptedError

    data = BytesIO()
    gradient(40, 30).save(data, "PNG")
    with levels._ONE_AT_A_TIME, pytest.raises(InterruptedError):
        draw_levels(data, BytesIO(), tell)
    assert waited == [(0, 1)] * 3
    assert draw_levels(data, BytesIO(), tell)  # free again, and nothing holds it for ever
