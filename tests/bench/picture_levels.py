"""A picture of 100 megapixels: checked at the door, cut into levels, one part handed out.

``python -m tests.bench.picture_levels``. Floor: the same file opened, decoded and resized to
1600 px by bare Pillow. Each step runs in a process of its own, which reports the most memory it
ever held (``ru_maxrss``). November 2026: levels take about twice the floor and 581 MB, where the
floor takes 518 MB; the check at the door 0.2 to 0.5 of it and 80 to 140 MB.
"""

import os
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final
from zipfile import ZipFile

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
django.setup()

from PIL import Image  # noqa: E402

from lifecycle.exchange.pictures.levels import draw_levels  # noqa: E402
from lifecycle.exchange.pictures.reading import check_picture  # noqa: E402


def say(text: str) -> None:
    sys.stdout.write(f"{text}\n")


SIZE: Final = (11_600, 8700)
KINDS: Final = {"JPEG": {"quality": 90}, "TIFF": {}, "PNG": {"compress_level": 1}}


def draw(folder: Path) -> None:
    """A picture with detail everywhere: grain on a slope of grey, the same at each run."""
    tile = Image.effect_noise((1160, 870), 40).convert("L")
    across = Image.linear_gradient("L").resize((1160, 870))
    tile = Image.merge("RGB", (tile, across, Image.blend(tile, across, 0.5)))
    whole = Image.new("RGB", SIZE)
    for left in range(0, SIZE[0], 1160):
        for top in range(0, SIZE[1], 870):
            whole.paste(tile, (left, top))
    for kind, options in KINDS.items():
        whole.save(folder / f"big.{kind}", kind, **options)


def floor(path: Path) -> None:
    with Image.open(path) as image:
        image.resize((1600, 1200), Image.Resampling.LANCZOS).convert("RGB")


def door(path: Path) -> None:
    with path.open("rb") as file:
        check_picture(file)


def levels(path: Path) -> None:
    with path.open("rb") as file, path.with_suffix(".levels").open("w+b") as target:
        draw_levels(file, target, lambda done, total: None)


def part(path: Path) -> None:
    with ZipFile(path.with_suffix(".levels")) as kept:
        assert len(kept.read("0/11-8.jpg")) > 1000


STEPS: Final[dict[str, Callable[[Path], None]]] = {
    "draw": draw,
    "floor: Pillow decodes and resizes": floor,
    "checked at the door": door,
    "levels, screen picture, thumbnail": levels,
    "one part handed out": part,
}


def run(step: str, path: Path) -> tuple[float, float]:
    """Seconds and megabytes of one step."""
    command = [sys.executable, "-m", "tests.bench.picture_levels", step, str(path)]
    told = subprocess.run(command, check=True, capture_output=True, text=True).stdout.split()
    return float(told[0]), float(told[1])


def main() -> None:
    if len(sys.argv) == 3:
        began = time.perf_counter()
        STEPS[sys.argv[1]](Path(sys.argv[2]))
        took = time.perf_counter() - began
        most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        say(f"{took} {most}")
        return
    with TemporaryDirectory() as folder:
        run("draw", Path(folder))  # a child starts with the most its parent ever held
        for kind in KINDS:
            path = Path(folder) / f"big.{kind}"
            say(f"{kind}, {SIZE[0] * SIZE[1] / 1e6:.0f} MP, {path.stat().st_size / 1e6:.0f} MB")
            lowest = 0.0
            for step in list(STEPS)[1:]:
                took, most = run(step, path)
                lowest = lowest or took
                say(f"  {step:36} {took:7.2f} s  {took / lowest:5.2f} × floor  {most:6.0f} MB")


if __name__ == "__main__":
    main()
