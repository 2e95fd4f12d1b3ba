"""A museum saved as an open package, against copying and hashing the very same files.

``python -m tests.bench.open_package [objects]`` (2,000 without). The floor is what any package of
these files asks of the disk: read every file once, write it once, take its SHA-256. Told are the
ratio to that floor, records a second, and the most memory that Python held.
"""

import hashlib
import os
import shutil
import sys
import tempfile
import time
import tracemalloc
from pathlib import Path

_FOLDER = Path(tempfile.mkdtemp(prefix="showrest-bench-"))
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
os.environ.setdefault("DATABASE_URL", f"sqlite:///{_FOLDER / 'bench.sqlite3'}")
os.environ.setdefault("SHOWREST_TEST_KEEP_ENVIRONMENT", "yes")
os.environ.setdefault("SHOWREST_DATA", str(_FOLDER))

import django  # noqa: E402
from django.apps import apps  # noqa: E402

if not apps.ready:
    django.setup()

from django.core.management import call_command  # noqa: E402
from django.db import transaction  # noqa: E402

from lifecycle.exchange.package.bag import payload_names  # noqa: E402
from tests.builders.core import make_face, make_museum, make_object  # noqa: E402
from tests.builders.package import save  # noqa: E402


def say(text: str) -> None:
    sys.stdout.write(f"{text}\n")


def floor(folder: Path, target: Path) -> float:
    """Seconds to copy every file of the payload and to take its digest."""
    began = time.perf_counter()
    for name in payload_names(folder):
        there = target / name
        there.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(folder / name, there)
        hashlib.sha256(there.read_bytes()).hexdigest()
    return time.perf_counter() - began


def main(count: int) -> None:
    """Write a museum of so many objects with a face each, save it, and measure the floor."""
    call_command("migrate", verbosity=0)
    make_museum()
    with transaction.atomic():
        for number in range(count):
            make_face(make_object(object_number=f"HCM.{number:06d}"))
    began = time.perf_counter()
    saved = save(None, _FOLDER / "once")
    seconds = time.perf_counter() - began
    least = floor(saved.folder, _FOLDER / "floor")
    say(
        f"{saved.rows} records in {saved.files} files, {saved.size / 1e6:.1f} MB: {seconds:.1f} s, "
        f"{saved.rows / seconds:.0f} records a second, {seconds / least:.1f} times the floor "
        f"({least:.1f} s)"
    )
    tracemalloc.start()
    save(None, _FOLDER / "again")
    say(f"most memory held: {tracemalloc.get_traced_memory()[1] / 1e6:.1f} MB")
    shutil.rmtree(_FOLDER, ignore_errors=True)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 2_000)
