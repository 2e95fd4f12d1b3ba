"""Run the README's first command as a new user would, look round in it, and press Ctrl-C.

``python3 .ci/smoke.py file-with-the-command``, in a fresh copy; standard library only.
"""

import http.cookiejar
import json
import os
import re
import signal
import subprocess
import sys
import time
import urllib.error
import urllib.parse
import urllib.request
from pathlib import Path

SITE = f"http://127.0.0.1:{os.environ.get('SHOWREST_PORT', '8000')}"
READY_WITHIN_S = 300
LETTERS_WITHIN_S = 90
STOPPED_WITHIN_S = 30

cookies = http.cookiejar.CookieJar()
browser = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(cookies))


def say(line: str) -> None:
    sys.stdout.write(f"smoke: {line}\n")
    sys.stdout.flush()


def page(path: str, form: dict[str, str] | None = None) -> str:
    """Open a page as a browser would; a form is posted."""
    data = urllib.parse.urlencode(form).encode() if form else None
    headers = {"Referer": SITE + path}
    request = urllib.request.Request(SITE + path, data=data, headers=headers)  # noqa: S310
    with browser.open(request, timeout=20) as answer:
        return str(answer.read().decode())


def need(what: str, holds: object) -> None:
    """End with a sentence where something is not as a new user must find it."""
    if not holds:
        raise SystemExit(f"smoke: NOT SO: {what}")
    say(what)


def wait_for(what: str, seconds: int, holds: "object") -> None:
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        try:
            if holds():  # type: ignore[operator]
                return say(what)
        except (urllib.error.URLError, OSError, ValueError):
            pass
        time.sleep(0.5)
    raise SystemExit(f"smoke: NOT SO within {seconds} s: {what}")


def all_well() -> bool:
    with browser.open(f"{SITE}/health/?format=json", timeout=5) as answer:
        return bool(json.load(answer)["well"])


def look_round() -> None:
    """What the README promises after its first command."""
    sign_in = page("/sign-in/")
    people = re.findall(r'action="(/sign-in/as/[0-9a-f-]{36}/)"', sign_in)
    need(f"the sign-in page offers {len(people)} demo people", len(people) >= 10)
    token = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', sign_in)
    today = page(people[0], {"csrfmiddlewaretoken": token[1] if token else ""})
    need("one click signs a demo person in, and Today opens", re.search(r"<h1[^>]*>.*Today", today))
    wait_for("worker, schedule, broker, database and mail are well", 90, all_well)
    letters = Path("data/letters")
    wait_for(
        "the morning letters of the day lie in data/letters",
        LETTERS_WITHIN_S,
        lambda: list(letters.glob("*.eml")),
    )


def main(command: str) -> int:
    # A shell lets what it runs beside itself ignore Ctrl-C; a new user's terminal does not.
    signal.signal(signal.SIGINT, signal.default_int_handler)
    run = subprocess.Popen(["bash", "-c", command], start_new_session=True)  # noqa: S603, S607
    try:
        wait_for(f"{SITE} answers", READY_WITHIN_S, lambda: page("/health/?format=json") or True)
    except BaseException:  # Ctrl-C too: the site has a session of its own and would stay
        if run.poll() is None:
            os.killpg(run.pid, signal.SIGKILL)
        raise
    try:
        look_round()
    finally:
        os.killpg(run.pid, signal.SIGINT)  # what Ctrl-C sends to the whole foreground group
        code = run.wait(timeout=STOPPED_WITHIN_S)
    need("Ctrl-C ends everything with exit code 0", code == 0)
    time.sleep(0.5)
    try:
        page("/health/?format=json")
    except (urllib.error.URLError, OSError):
        say("nothing answers any more")
        return 0
    raise SystemExit("smoke: NOT SO: nothing answers any more")


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]).read_text()))
