"""Take the place where a picture was taken out of a file, in place: no pixel and no length changes.

Found are the GPS directory of EXIF (EXIF 2.3, 4.6.3, tag 0x8825; in TIFF, BigTIFF, JPEG, PNG, WebP
and HEIC alike) and the GPS properties of XMP. All other notes of the camera stay.
"""

import re
import struct
import zlib
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import IO, Final

GPS: Final = 0x8825
XMP: Final = 700
#: Notes longer than this are not searched but emptied: no camera writes as much.
MOST_NOTES: Final = 8 * 1024 * 1024
_SIZES: Final = {1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 6: 1, 7: 1, 8: 2, 9: 4, 10: 8, 11: 4, 12: 8, 13: 4}
_TIFF_START: Final = re.compile(rb"Exif\0\0(?=II[*+]\0|MM\0[*+])")
_XMP_START: Final = b"<x:xmpmeta"
_XMP_END: Final = b"</x:xmpmeta>"
_IN_XMP: Final = re.compile(
    rb"""GPS\w*\s*=\s*"([^"]*)"|GPS\w*\s*=\s*'([^']*)'|<[\w.-]+:GPS\w*[^<>]*>([^<]*)<"""
)
#: Bytes of the file from a place, of a length.
Reader = Callable[[int, int], bytes]
#: A PNG chunk that every reader passes over (lower case first letter), in place of one we empty.
_EMPTY_CHUNK: Final = b"noTe"


@dataclass(frozen=True, slots=True)
class Patch:
    """Bytes that stand at one place of the file instead of those that stood there."""

    at: int
    data: bytes


def place_patches(file: IO[bytes], kind: str) -> list[Patch]:
    """What to overwrite so that the file no longer says where it was taken; empty if it never did.

    ``kind`` is Pillow's name: JPEG, PNG, TIFF, WEBP or HEIF. A part that can't be understood is
    left as it is: the caller looks again afterwards.
    """
    search = {"JPEG": _jpeg, "PNG": _png, "TIFF": _tiff_file, "WEBP": _webp, "HEIF": _boxes}[kind]
    file.seek(0)
    return sorted(search(file), key=lambda patch: patch.at)


def chunks(file: IO[bytes], patches: Sequence[Patch], size: int = 1 << 20) -> Iterator[bytes]:
    """The file's bytes with the patches laid over, in pieces."""
    file.seek(0)
    start = 0
    while piece := file.read(size):
        changed = bytearray(piece)
        for patch in patches:
            first, last = max(patch.at, start), min(patch.at + len(patch.data), start + len(piece))
            if first < last:
                changed[first - start : last - start] = patch.data[
                    first - patch.at : last - patch.at
                ]
        yield bytes(changed)
        start += len(piece)


def _tiff_file(file: IO[bytes]) -> Iterator[Patch]:
    return _tiff(file, 0)


def _tiff(file: IO[bytes], base: int) -> Iterator[Patch]:
    """Walk the directories of a TIFF (revision 6.0, section 2) that begins at ``base``."""

    def read(at: int, length: int) -> bytes:
        file.seek(base + at)
        return file.read(length)

    head = read(0, 16)
    order = {b"II": "<", b"MM": ">"}.get(head[:2])
    if order is None or len(head) < 8:
        return
    big = struct.unpack(order + "H", head[2:4])[0] == 43
    count_form, entry_size, pointer = ("Q", 20, "Q") if big else ("H", 12, "I")
    width = struct.calcsize(pointer)
    at = struct.unpack(order + pointer, head[8:16] if big else head[4:8])[0]
    seen: set[int] = set()
    while at and at not in seen and len(seen) < 64:
        seen.add(at)
        counter = read(at, struct.calcsize(count_form))
        if len(counter) < struct.calcsize(count_form):
            return
        count = struct.unpack(order + count_form, counter)[0]
        body_at = at + len(counter)
        body = read(body_at, min(count, 4096) * entry_size + width)
        if count > 4096 or len(body) < count * entry_size + width:
            return
        entries = [body[i * entry_size : (i + 1) * entry_size] for i in range(count)]
        kept = []
        for entry in entries:
            tag, form = struct.unpack(order + "HH", entry[:4])
            number, value = struct.unpack(order + pointer * 2, entry[4:])
            if tag == GPS:
                yield from _emptied(read, base, order, value, big)
                continue
            kept.append(entry)
            if tag == XMP and form in {1, 7} and width < number <= MOST_NOTES:
                yield from _xmp(read(value, number), base + value)
        following = body[count * entry_size :]
        if len(kept) < len(entries):
            changed = struct.pack(order + count_form, len(kept)) + b"".join(kept) + following
            yield Patch(base + at, changed.ljust(len(counter) + len(body), b"\0"))
        at = struct.unpack(order + pointer, following)[0]


def _emptied(read: Reader, base: int, order: str, at: int, big: bool) -> Iterator[Patch]:
    """The GPS directory and the values it points to, as nothing."""
    count_form, entry_size, pointer = ("Q", 20, "Q") if big else ("H", 12, "I")
    counter = read(at, struct.calcsize(count_form))
    if len(counter) < struct.calcsize(count_form):
        return
    count = struct.unpack(order + count_form, counter)[0]
    entries = read(at + len(counter), min(count, 256) * entry_size)
    yield Patch(base + at, bytes(len(counter) + len(entries)))
    for start in range(0, len(entries) - entry_size + 1, entry_size):
        entry = entries[start : start + entry_size]
        form = struct.unpack(order + "H", entry[2:4])[0]
        number, value = struct.unpack(order + pointer * 2, entry[4:])
        length = number * _SIZES.get(form, 8)
        if struct.calcsize(pointer) < length <= 65_536:
            yield Patch(base + value, bytes(len(read(value, length))))


def _xmp(packet: bytes, at: int) -> Iterator[Patch]:
    """Blank the values of the GPS properties of an XMP packet (spaces are lawful there)."""
    for found in _IN_XMP.finditer(packet):
        group = found.lastindex or 0
        if group and found.group(group).strip():
            start, end = found.span(group)
            yield Patch(at + start, b" " * (end - start))


def _in_block(block: bytes, at: int) -> Iterator[Patch]:
    """Patches of an EXIF block of its own, which may begin with its name."""
    skipped = 6 if block.startswith(b"Exif\0\0") else 0
    for patch in _tiff(BytesIO(block[skipped:]), 0):
        yield Patch(at + skipped + patch.at, patch.data)


def _jpeg(file: IO[bytes]) -> Iterator[Patch]:
    """Walk the header segments (ISO/IEC 10918-1, B.1.1)."""
    at = 2
    while True:
        file.seek(at)
        head = file.read(4)
        if len(head) < 4 or head[0] != 0xFF or head[1] == 0xDA:
            return
        if head[1] == 0xFF:  # a fill byte
            at += 1
            continue
        length = struct.unpack(">H", head[2:])[0]
        if head[1] == 0xE1:
            body = file.read(length - 2)
            if body.startswith(b"Exif\0\0"):
                yield from _in_block(body, at + 4)
            elif b"http://ns.adobe.com/" in body[:40]:
                yield from _xmp(body, at + 4)
        at += 2 + length


def _png(file: IO[bytes]) -> Iterator[Patch]:
    """Walk the chunks (PNG 1.2, section 3.2); a changed one gets its own check sum again."""
    at = 8
    while True:
        file.seek(at)
        head = file.read(8)
        if len(head) < 8:
            return
        length, name = struct.unpack(">I4s", head)
        if name in {b"eXIf", b"iTXt", b"tEXt", b"zTXt"}:
            if length > MOST_NOTES:
                return
            body = file.read(length)
            changed = _png_chunk(name, body)
            if changed is not None:
                named = changed[0] + changed[1]
                yield Patch(at + 4, named + struct.pack(">I", zlib.crc32(named)))
        at += 12 + length


def _png_chunk(name: bytes, body: bytes) -> tuple[bytes, bytes] | None:
    """The chunk's new name and body; None when it says nothing of a place."""
    if name == b"eXIf":
        return _over(name, body, _in_block(body, 0))
    keyword, _, rest = body.partition(b"\0")
    if keyword.lower().startswith(b"raw profile type"):  # EXIF or XMP in hexadecimal text
        return _EMPTY_CHUNK, bytes(len(body))
    if keyword != b"XML:com.adobe.xmp":
        return None
    if name == b"iTXt" and rest[:1] == b"\0":
        return _over(name, body, _xmp(body, 0))
    return _EMPTY_CHUNK, bytes(len(body))  # packed: it can't be blanked at its length


def _over(name: bytes, body: bytes, patches: Iterator[Patch]) -> tuple[bytes, bytes] | None:
    laid = sorted(patches, key=lambda patch: patch.at)
    return (name, b"".join(chunks(BytesIO(body), laid))) if laid else None


def _webp(file: IO[bytes]) -> Iterator[Patch]:
    """Walk the chunks of the RIFF container."""
    at = 12
    while True:
        file.seek(at)
        head = file.read(8)
        if len(head) < 8:
            return
        name, length = struct.unpack("<4sI", head)
        if name in {b"EXIF", b"XMP "} and length <= MOST_NOTES:
            body = file.read(length)
            yield from _in_block(body, at + 8) if name == b"EXIF" else _xmp(body, at + 8)
        at += 8 + length + length % 2


def _boxes(file: IO[bytes]) -> Iterator[Patch]:
    """HEIC keeps its notes as items that may lie anywhere: look for how they begin."""
    data = file.read()
    for found in _TIFF_START.finditer(data):
        yield from _tiff(file, found.end())
    start = data.find(_XMP_START)
    while start >= 0:
        end = data.find(_XMP_END, start)
        if end < 0:
            return
        yield from _xmp(data[start:end], start)
        start = data.find(_XMP_START, end)
