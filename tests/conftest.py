"""What every test shares: hypothesis profiles, and skips that name the missing package."""

import os
import re
import shutil
from collections import Counter
from collections.abc import Generator

import pytest
from django.test import TransactionTestCase
from hypothesis import HealthCheck, settings

settings.register_profile("fast", max_examples=25, deadline=None)
settings.register_profile(
    "ci",
    max_examples=300,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.register_profile("long", max_examples=5_000, deadline=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "fast"))

REQUIRE_ALL = os.environ.get("REQUIRE_ALL", "") == "1"
# mark -> (program that must be found, Debian package to install)
NEEDED = {
    "chromium": ("chromium", "chromium"),
    "poppler": ("pdftoppm", "poppler-utils"),
}
# Fixtures of pytest-django that open the database.
OPENING = frozenset({"db", "transactional_db", "django_db_reset_sequences", "live_server"})
PACKAGE = re.compile(r"apt-get install ([a-z0-9.+-]+)")


# What holds a processor, or waits for one, for long: begun first, so that no worker is left with it
# at the end while the others have nothing more to do.
LONG = ("crawls", "own_houses", "broker", "chromium", "walks", "slow")


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int | None:
    """Two more than there are processors: tests of workers, browsers and locks wait a good deal."""
    if os.environ.get("PYTEST_XDIST_AUTO_NUM_WORKERS"):
        return None  # xdist's own setting is heeded
    return len(os.sched_getaffinity(0)) + 2


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark what opens no database, so that a second database may leave it out; long files first."""
    for item in items:
        case = getattr(item, "cls", None)
        opens = (
            (isinstance(case, type) and issubclass(case, TransactionTestCase))
            or item.get_closest_marker("django_db") is not None
            or not OPENING.isdisjoint(getattr(item, "fixturenames", ()))
        )
        if not opens:
            item.add_marker("no_database")
    rank: dict[str, int] = {}
    for item in items:
        places = [place for place, mark in enumerate(LONG) if item.get_closest_marker(mark)]
        rank[str(item.path)] = min([rank.get(str(item.path), len(LONG)), *places])
    items.sort(key=lambda item: rank[str(item.path)])


def pytest_runtest_setup(item: pytest.Item) -> None:
    """Skip by name what this machine cannot run; REQUIRE_ALL=1 makes it a failure."""
    for mark, (program, package) in NEEDED.items():
        if item.get_closest_marker(mark) and not shutil.which(program):
            reason = f"{item.nodeid} needs {program}: apt-get install {package}"
            if REQUIRE_ALL:
                pytest.fail(f"REQUIRE_ALL=1, but {reason}", pytrace=False)
            pytest.skip(reason)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(
    item: pytest.Item, call: pytest.CallInfo[None]
) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """With REQUIRE_ALL=1 no skip of any kind passes."""
    report = yield
    if REQUIRE_ALL and report.skipped and not hasattr(report, "wasxfail"):
        report.outcome = "failed"
        report.longrepr = f"REQUIRE_ALL=1, but {item.nodeid} was skipped: {report.longrepr}"
    return report


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Count what was left out, with the package that would bring it back."""
    reasons = [str(report.longrepr) for report in terminalreporter.stats.get("skipped", [])]
    packages = Counter(found[1] for reason in reasons if (found := PACKAGE.search(reason)))
    for package, count in sorted(packages.items()):
        terminalreporter.write_line(
            f"left out: {count} tests that need {package} (apt-get install {package})"
        )
