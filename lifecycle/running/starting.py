"""What every start shares: the lock, the tables, the static files, the children, the ready line."""

import hashlib
import http.client
import os
import socket
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles.finders import get_finders
from django.core.management import call_command
from django.core.management.base import CommandError

from lifecycle.queries.beginning import code_digest, has_begun, make_code
from lifecycle.records.models.work import Heartbeat, LifeSign
from lifecycle.running.lock import FolderInUse, hold
from lifecycle.running.supervising import GivenUp, Supervisor
from lifecycle.running.upgrading import upgrade

Say = Callable[[str], None]


@contextmanager
def held_folder() -> Iterator[None]:
    """Hold the data folder for this start alone.

    :raises CommandError: when another start holds it
    """
    try:
        lock = hold(settings.DATA_DIR)
    except FolderInUse as taken:
        raise CommandError(str(taken)) from None
    with lock:
        try:
            yield
        except KeyboardInterrupt:
            raise SystemExit(130) from None  # Ctrl-C before anything was started


def prepare(say: Say, *, at: datetime, backup: bool = False) -> None:
    """Bring the tables up to date and gather the static files.

    :raises CommandError: when the tables are newer than this version, or a restore is unfinished
    """
    upgrade(say=say, at=at, backup=backup)
    gather_static()


def gather_static() -> None:
    """Gather the static files, unless they are the same as at the last start."""
    print_of_all = hashlib.sha256()
    for finder in get_finders():
        for name, storage in finder.list([]):
            status = os.stat(storage.path(name))
            print_of_all.update(f"{name} {status.st_size} {status.st_mtime_ns}\n".encode())
    mark = Path(settings.STATIC_ROOT) / "gathered"
    if not mark.exists() or mark.read_text() != print_of_all.hexdigest():
        call_command("collectstatic", interactive=False, verbosity=0, clear=True)
        mark.write_text(print_of_all.hexdigest())


def serve(*, say: Say, at: datetime, demo: bool, only: str = "") -> None:
    """Start the children and keep them running until Ctrl-C.

    :raises CommandError: when the port is taken or a child can't be kept alive
    """
    names = [only] if only else ["web", "worker"]
    if settings.CELERY_BROKER_URL.startswith("redis+socket") and settings.EMBEDDED_BROKER:
        names.insert(0, "broker")
    if "web" in names:
        _wait_for_port()
    environment = {
        **os.environ,
        "SHOWREST_DATA": str(settings.DATA_DIR),
        "SHOWREST_BEAT": "thread",
        "DJANGO_SETTINGS_MODULE": os.environ["DJANGO_SETTINGS_MODULE"],
        "PYTHONUNBUFFERED": "1",
        "SHOWREST_DEMO": "1" if demo else "0",
        "PYTHONPATH": os.pathsep.join(
            filter(None, [str(settings.BASE_DIR), os.environ.get("PYTHONPATH", "")])
        ),
    }
    if "web" in names:
        environment |= told_to_begin(say)
    supervisor = Supervisor(
        names, log_path=settings.DATA_DIR / "showrest.log", say=say, environment=environment
    )
    supervisor.obey_signals()
    try:
        supervisor.run(lambda: _say_ready(say, names, at, supervisor))
    except GivenUp as end:
        raise CommandError(str(end)) from None
    say("Everything has been stopped.")


def told_to_begin(say: Say) -> dict[str, str]:
    """Say the code where no museum has begun yet; return what the web server is told of it."""
    if has_begun():
        return {"SHOWREST_BEGINNING": ""}
    code = make_code()
    say(f"No museum has begun here yet. Begin it at {settings.SITE_URL}/begin/ with this code:")
    say(f"    {code}")
    say("It is for whoever sees this terminal, works once, and stands in no log.")
    return {"SHOWREST_BEGINNING": code_digest(code)}


def _wait_for_port(patience_s: float = 6) -> None:
    """Wait until the port is free: a killed start's web server needs a moment to end."""
    until = time.monotonic() + patience_s
    while True:
        with socket.socket(socket.AF_INET6 if ":" in settings.BIND else socket.AF_INET) as trial:
            trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                trial.bind((settings.BIND, settings.PORT))
            except OSError as trouble:
                if time.monotonic() > until:
                    raise CommandError(
                        f"The address {settings.BIND}:{settings.PORT} can't be used "
                        f"({trouble.strerror}). Name another port in SHOWREST_PORT."
                    ) from None
            else:
                return
        time.sleep(0.2)


def _say_ready(say: Say, names: list[str], at: datetime, supervisor: Supervisor) -> None:
    """Say once that the pages answer, and whether the worker has shown itself."""
    until = time.monotonic() + 60
    waiting = {"web", "worker"} & set(names)
    while waiting and time.monotonic() < until and not supervisor.stopping.wait(0.2):
        if "web" in waiting and _web_answers():
            waiting.discard("web")
        if "worker" in waiting and _worker_seen(at):
            waiting.discard("worker")
    if supervisor.stopping.is_set():
        return
    if waiting:
        say(f"Not answering yet: {', '.join(sorted(waiting))}. See {supervisor.log_path}.")
    if "web" in names:
        say(f"Showrest is ready at http://{_shown_host()}:{settings.PORT}/")
    if settings.MAIL_TO_FILES or os.environ.get("SHOWREST_DEMO") == "1":
        say(f"Letters are written to {settings.LETTERS_DIR}")
    say(f"The log is {supervisor.log_path}")
    say("Ctrl-C stops everything.")


def _shown_host() -> str:
    everywhere = {"0.0.0.0", "::", ""}  # noqa: S104 - compared, not listened at
    return "127.0.0.1" if settings.BIND in everywhere else settings.BIND


def _web_answers() -> bool:
    line = http.client.HTTPConnection(_shown_host(), settings.PORT, timeout=5)
    try:
        host = "127.0.0.1" if "127.0.0.1" in settings.ALLOWED_HOSTS else settings.ALLOWED_HOSTS[0]
        line.request("GET", "/health/", headers={"Host": host})
        # With HTTPS on, it answers that the page is to be asked for through the proxy.
        return line.getresponse().status in {200, 301, 503}
    except OSError:
        return False
    finally:
        line.close()


def _worker_seen(at: datetime) -> bool:
    return Heartbeat.objects.filter(part=LifeSign.WORKER, seen_at__gte=at).exists()
