"""Start the children, watch them, restart what dies, stop all of them together."""

import os
import signal
import subprocess
import sys
import threading
import time
from collections import deque
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType
from typing import IO

MODULES = {"broker": "lifecycle.running.broker"}
MOST_DEATHS = 5
WITHIN_S = 60.0
STOP_WITHIN_S = 10.0
LOG_KEEP_BYTES = 10_000_000


class GivenUp(Exception):
    """A child died too often; everything has been stopped."""


@dataclass
class Child:
    """One process that is kept running."""

    name: str
    process: subprocess.Popen[bytes] | None = None
    deaths: deque[float] = field(default_factory=lambda: deque(maxlen=MOST_DEATHS))
    start_again_at: float = 0.0

    def start(self, *, log: IO[bytes], environment: Mapping[str, str]) -> None:
        """Start it in a session of its own, so that Ctrl-C reaches the parent alone."""
        module = MODULES.get(self.name, "lifecycle.running.child")
        self.process = subprocess.Popen(  # noqa: S603 - our own command line
            [sys.executable, "-m", module, self.name],
            stdin=subprocess.PIPE,
            stdout=log,
            stderr=subprocess.STDOUT,
            env=environment,
            start_new_session=True,
        )

    def died_too_often(self, now: float) -> bool:
        """Note a death; True when it was the fifth within a minute."""
        self.deaths.append(now)
        return len(self.deaths) == MOST_DEATHS and now - self.deaths[0] <= WITHIN_S


class Supervisor:
    """Keeps the named children running until it is told to stop."""

    def __init__(
        self,
        names: Sequence[str],
        *,
        log_path: Path,
        say: Callable[[str], None],
        environment: Mapping[str, str] = os.environ,
    ) -> None:
        self.children = [Child(name) for name in names]
        self.say, self.environment, self.log_path = say, environment, log_path
        self.stopping = threading.Event()
        _turn_log(log_path)
        self.log = open(log_path, "ab", buffering=0)  # noqa: SIM115 - open as long as the house runs

    def obey_signals(self) -> None:
        """Let Ctrl-C and SIGTERM end everything."""

        def end(number: int, _: FrameType | None) -> None:
            self.stopping.set()

        signal.signal(signal.SIGINT, end)
        signal.signal(signal.SIGTERM, end)

    def run(self, when_started: Callable[[], None] = lambda: None) -> None:
        """Start all children and watch them; returns when told to stop.

        :raises GivenUp: when a child died five times within a minute
        """
        try:
            for child in self.children:
                child.start(log=self.log, environment=self.environment)
            threading.Thread(target=when_started, daemon=True).start()
            while not self.stopping.wait(0.2):
                for child in self.children:
                    self._look_after(child)
        finally:
            self.stop()

    def _look_after(self, child: Child) -> None:
        now = time.monotonic()
        if child.process is None:
            if now >= child.start_again_at:
                child.start(log=self.log, environment=self.environment)
            return
        code = child.process.poll()
        if code is None:
            return
        child.process = None
        if child.died_too_often(now):
            raise GivenUp(
                f"The {child.name} ended {MOST_DEATHS} times within a minute, so everything was "
                f"stopped. The reason stands in {self.log_path}."
            )
        self.say(f"The {child.name} ended (code {code}) and is started again.")
        child.start_again_at = now + 0.3 * 2 ** len(child.deaths)

    def stop(self) -> None:
        """Stop the children, last started first; what does not end in time is killed."""
        self.stopping.set()
        alive = [c.process for c in reversed(self.children) if c.process is not None]
        for process in alive:
            if process.poll() is None:
                process.terminate()
        until = time.monotonic() + STOP_WITHIN_S
        for process in alive:
            try:
                process.wait(timeout=max(until - time.monotonic(), 0.1))
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait()
            if process.stdin:
                process.stdin.close()
        self.log.close()


def _turn_log(path: Path) -> None:
    """Keep one earlier log once the present one has grown large."""
    path.parent.mkdir(parents=True, exist_ok=True)
    if path.exists() and path.stat().st_size > LOG_KEEP_BYTES:
        os.replace(path, path.with_suffix(".1.log"))
