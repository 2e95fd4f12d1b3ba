"""Run as a program: does marking stay fluid with 300 findings on one face?

``python -m tests.bench.marking [findings]`` prints two numbers.

1. Drawing the numbered picture on the server, as a ratio to the floor: the same shapes and numbers
   joined into one SVG text without looking for a free place for any number.
2. In Chromium, an outline's corner dragged across the picture in 240 moves: the time from one
   frame to the next, at the median and at the 95th of a hundred, beside the floor, the same page
   with a single finding. A frame has 16.7 ms on a screen of 60 Hz.

Needs Debian's ``chromium`` for the second. Outside check: none; both floors are our own.
"""

import os
import shutil
import statistics
import sys
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from time import perf_counter

import django
from django.template.loader import render_to_string
from playwright.sync_api import sync_playwright

from lifecycle.papers.drawing.numbered_picture import as_svg
from lifecycle.papers.words.parts import MarkWords
from tests.browser.conftest import FLAGS

FINDINGS, MOVES, RUNS = 300, 240, 5
WIDTH, HEIGHT = 4000, 3000
STATIC = Path(__file__).parents[2] / "lifecycle/pages/static/showrest"
#: Frame times of the drag, collected in the page itself.
WATCH = """() => { window.frames_ms = []; let last = performance.now();
  const tick = now => {
    window.frames_ms.push(now - last); last = now; requestAnimationFrame(tick); };
  requestAnimationFrame(tick); }"""


def marks(count: int) -> list[MarkWords]:
    """Findings crowded as on a foxed sheet: half of them in a ninth of the face."""
    dice = Random(20261126)
    found = []
    for number in range(1, count + 1):
        reach = 33 if number % 2 else 96
        x, y = dice.uniform(0, reach), dice.uniform(0, reach)
        path = ((x, y), (x + 3, y), (x + 3, y + 3), (x, y + 2))
        found.append(MarkWords(number=number, x=x, y=y, width=3, height=3, path=path, closed=True))
    return found


def floor(found: list[MarkWords]) -> str:
    """Every shape and every number on its own finding, and nothing looked for."""
    parts = [
        f'<polygon points="{" ".join(f"{a * 40:.1f},{b * 30:.1f}" for a, b in mark.path)}"/>'
        f'<circle cx="{mark.x * 40:.1f}" cy="{mark.y * 30:.1f}" r="30"/>'
        f'<text x="{mark.x * 40:.1f}" y="{mark.y * 30:.1f}">{mark.number}</text>'
        for mark in found
    ]
    return "".join(parts)


def drawn(found: list[MarkWords]) -> str:
    return as_svg(href="face.png", width=WIDTH, height=HEIGHT, marks=found, title="front")


def best(work: object) -> float:
    """Seconds of the best of several runs."""
    times = []
    for _ in range(RUNS):
        begun = perf_counter()
        work()  # type: ignore[operator]
        times.append(perf_counter() - begun)
    return min(times)


def page(found: list[MarkWords]) -> str:
    """The finding's page as far as marking needs it, with its own styles and scripts."""
    tools = render_to_string("parts/marking_tools.html", {"mode": "form"})
    names = ("tokens.css", "condition.css", "viewer.css", "marking.css")
    styles = "".join(f"<style>{(STATIC / name).read_text()}</style>" for name in names)
    scripts = "".join(
        f"<script>{(STATIC / name).read_text()}</script>" for name in ("viewer.js", "marking.js")
    )
    fields = (
        '<form><select id="id_shape"><option value="outline" selected></option></select>'
        '<textarea id="id_places">40, 40\n60, 40\n60, 60</textarea>'
        '<select id="id_unit"><option value="picture" selected></option></select>'
        '<select id="id_zone"></select></form>'
    )
    return (
        f'<!doctype html><html lang="en"><head>{styles}</head><body>'
        f'<div style="width: 900px" class="mark-here" data-viewer data-viewer-tool="mark" '
        f'data-marking="form">{drawn(found)}{tools}</div>{fields}{scripts}</body></html>'
    )


def frames(found: list[MarkWords]) -> list[float]:
    """Milliseconds between frames while one corner is dragged."""
    with TemporaryDirectory() as folder, sync_playwright() as player:
        file = Path(folder) / "page.html"
        file.write_text(page(found), encoding="utf-8")
        browser = player.chromium.launch(executable_path=shutil.which("chromium"), args=FLAGS)
        seen = browser.new_page(viewport={"width": 1280, "height": 900})
        seen.goto(file.as_uri())
        box = seen.locator("svg.numbered-picture").bounding_box()
        assert box is not None
        seen.mouse.move(box["x"] + box["width"] * 0.6, box["y"] + box["height"] * 0.6)
        seen.mouse.down()
        seen.evaluate(WATCH)
        for step in range(MOVES):
            part = 0.6 + 0.3 * step / MOVES
            seen.mouse.move(box["x"] + box["width"] * part, box["y"] + box["height"] * 0.8)
        found_ms = [float(one) for one in seen.evaluate("window.frames_ms")]
        seen.mouse.up()
        moved = seen.locator("#id_places").input_value().splitlines()[2]
        assert moved.startswith(("89.8", "89.9")), moved  # it did move
        browser.close()
    return found_ms[1:]


def told(found: list[float]) -> str:
    late = statistics.quantiles(found, n=20)[-1]
    return f"median {statistics.median(found):.1f} ms, 95 of 100 below {late:.1f} ms"


def say(text: str) -> None:
    sys.stdout.write(f"{text}\n")


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else FINDINGS
    django.setup()
    crowd = marks(count)
    ours, bare = best(lambda: drawn(crowd)), best(lambda: floor(crowd))
    say(f"{count} findings drawn in {ours * 1000:.1f} ms, {ours / bare:.1f} times the floor")
    if shutil.which("chromium") is None:
        say("no chromium here: frames not measured")
        return
    say(f"frames with {count} findings: {told(frames(crowd))}")
    say(f"frames with 1 finding: {told(frames(marks(1)))}")


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
    main()
