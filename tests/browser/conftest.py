"""The real thing: one started demo museum, and Debian's Chromium in front of it."""

import fcntl
import os
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

ROOT = Path(__file__).resolve().parents[2]
FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
WIDTHS = {"desk": 1280, "tablet": 820, "phone": 390}


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if "tests/browser" in item.path.as_posix():
            item.add_marker(pytest.mark.chromium)


def free_port() -> int:
    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        return int(door.getsockname()[1])


@pytest.fixture(scope="session")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A demo museum started by the command people use, on a folder and a port of its own."""
    port = free_port()
    url = f"http://127.0.0.1:{port}"
    kept = {
        name: value
        for name, value in os.environ.items()
        if name not in {"DATABASE_URL", "REDIS_URL", "DJANGO_SETTINGS_MODULE"}
        and not name.startswith("SHOWREST_")
    }
    folder = tmp_path_factory.mktemp("museum")
    shutil.copytree(loaded_demo(tmp_path_factory, kept), folder / "data")
    told = (folder / "told.txt").open("w+")
    started = subprocess.Popen(
        [sys.executable, "manage.py", "demo"],
        cwd=ROOT,
        env={
            **kept,
            "SHOWREST_DATA": str(folder / "data"),
            "SHOWREST_PORT": str(port),
            "SHOWREST_URL": url,
        },
        stdin=subprocess.DEVNULL,
        stdout=told,
        stderr=subprocess.STDOUT,
        start_new_session=True,
    )
    try:
        for _ in range(600):
            if answers(url):
                break
            if started.poll() is not None:
                break
            time.sleep(0.5)
        else:
            pytest.fail("The demo did not answer within five minutes.")
        if started.poll() is not None:
            told.seek(0)
            pytest.fail(f"The demo ended at once:\n{told.read()[-4000:]}")
        yield url
    finally:
        started.send_signal(signal.SIGINT)
        try:
            started.wait(30)
        except subprocess.TimeoutExpired:
            started.kill()
        told.close()


def loaded_demo(tmp_path_factory: pytest.TempPathFactory, kept: dict[str, str]) -> Path:
    """The data folder of a demo that was loaded once for all workers of this run, to be copied."""
    shared = tmp_path_factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        shared = shared.parent
    loaded = shared / "demo-loaded"
    with (shared / "demo-loaded.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not loaded.exists():
            loading = shared / "demo-loading"
            subprocess.run(
                [sys.executable, "manage.py", "demo", "--load-only"],
                cwd=ROOT,
                env={**kept, "SHOWREST_DATA": str(loading)},
                check=True,
            )
            loading.rename(loaded)
    return loaded


def answers(url: str) -> bool:
    try:
        with urllib.request.urlopen(f"{url}/health/", timeout=2) as reply:  # noqa: S310
            return bool(reply.status == 200)
    except OSError:
        return False


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    """One browser a file: its event loop must be gone before the next file asks the database."""
    found = shutil.which("chromium")
    with sync_playwright() as player:
        browser = player.chromium.launch(executable_path=found, args=FLAGS)
        yield browser
        browser.close()


class Visitor:
    """One person at the screen: signs in with one click and goes where a link would take them."""

    def __init__(self, browser: Browser, site: str, name: str, *, width: int = 1280) -> None:
        self.site, self.name = site, name
        self.context: BrowserContext = browser.new_context(
            viewport={"width": width, "height": 900}, base_url=site
        )
        self.page: Page = self.context.new_page()
        self.page.goto("/sign-in/")
        with self.page.expect_navigation():
            self.page.get_by_role("button", name=name).click()
        assert self.page.url == f"{site}/", self.page.url

    def close(self) -> None:
        self.context.close()
