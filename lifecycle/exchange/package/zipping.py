"""Put a folder into one zip file, through the disk and never through memory."""

import os
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Final

# What is packed already gains nothing from being packed again.
_PACKED: Final = frozenset({".jpg", ".jpeg", ".png", ".webp", ".pdf", ".tif", ".tiff"})
_PART: Final = 1 << 20
# Zip files tell no zone and begin in 1980; one fixed moment keeps the clock out.
_MOMENT: Final = (1980, 1, 1, 0, 0, 0)


def zip_folder(folder: Path, target: Path, seen: Callable[[int], None]) -> int:
    """Write ``folder`` with everything in it to ``target`` under its own name; return its size.

    The file takes its name only when it is whole. ``seen`` is told of every part that was read.
    """
    part = target.with_name(target.name + ".part")
    with zipfile.ZipFile(part, "w", allowZip64=True) as archive:
        for path in sorted(one for one in folder.rglob("*") if one.is_file()):
            name = f"{folder.name}/{path.relative_to(folder).as_posix()}"
            entry = zipfile.ZipInfo(name, date_time=_MOMENT)
            packed = path.suffix.lower() in _PACKED
            entry.compress_type = zipfile.ZIP_STORED if packed else zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            size = path.stat().st_size
            entry.file_size = size
            with path.open("rb") as source, archive.open(entry, "w", force_zip64=True) as out:
                for piece in iter(lambda file=source: file.read(_PART), b""):  # type: ignore[misc]
                    out.write(piece)
                    seen(len(piece))
    os.replace(part, target)
    return target.stat().st_size
