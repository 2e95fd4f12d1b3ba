"""The web server or the worker: ``python -m lifecycle.running.child web|worker``."""

import os
import runpy
import signal
import socket
import sys

from django.conf import settings

from lifecycle.running.parent import watch_parent


def arguments(kind: str) -> list[str]:
    """The module to run and its arguments, for the web server and for the worker."""
    if kind == "web":
        return [
            "waitress",
            f"--listen={settings.BIND}:{settings.PORT}",
            "--threads=6",
            # Above the limit of a form, so that our own page says what is too large.
            f"--max-request-body-size={2 * settings.MAX_UPLOAD_MB * 1024 * 1024}",
            "--ident=Showrest",
            *_proxy(),
            "lifecycle.wsgi:application",
        ]
    return [
        "celery",
        "--app=lifecycle.celery",
        "worker",
        "--pool=threads",
        "--concurrency=2",
        "--without-gossip",
        "--without-mingle",
        "--loglevel=INFO",
        f"--hostname=worker-{os.getpid()}@{socket.gethostname()}",
    ]


def _proxy() -> list[str]:
    """Believe the named proxy about scheme and visitor; from anyone else that is thrown away."""
    if not settings.PROXY:
        return []
    return [
        f"--trusted-proxy={settings.PROXY}",
        f"--trusted-proxy-count={settings.PROXIES}",
        "--trusted-proxy-headers=x-forwarded-for x-forwarded-proto",
    ]


def main(kind: str) -> int:
    """Run one child to its end and return its exit code."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(0))
    watch_parent()
    sys.argv = arguments(kind)
    runpy.run_module(sys.argv[0], run_name="__main__", alter_sys=True)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
