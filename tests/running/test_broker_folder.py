"""The broker's socket lies in a folder of one's own, and an orphan of an earlier start is ended."""

import os
import socket
import stat
from pathlib import Path

import pytest

from lifecycle.running import broker
from lifecycle.running.lock import FolderInUse, hold


def test_the_sockets_folder_is_for_its_owner_alone(tmp_path: Path) -> None:
    folder = tmp_path / "broker"
    folder.mkdir(mode=0o755)
    broker.private_folder(folder)
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700


def test_a_folder_that_is_a_link_to_elsewhere_is_refused(tmp_path: Path) -> None:
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "broker").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(PermissionError, match="does not belong to this user"):
        broker.private_folder(tmp_path / "broker")


def test_a_folder_of_somebody_else_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(os, "getuid", lambda: 4711)
    with pytest.raises(PermissionError):
        broker.private_folder(tmp_path)


@pytest.mark.broker
def test_a_broker_left_behind_is_ended_before_the_next_starts(tmp_path: Path) -> None:
    sock, folder = tmp_path / "s" / "broker.sock", tmp_path / "folder"
    first = broker.start(sock=sock, folder=folder)
    try:
        while not sock.exists():
            assert first.poll() is None
        second = broker.start(sock=sock, folder=folder)
        try:
            assert first.wait(timeout=10) == 0
            assert second.poll() is None
        finally:
            second.terminate()
            second.wait()
    finally:
        first.kill()
        first.wait()


def test_a_socket_file_that_nobody_listens_on_is_cleared_away(tmp_path: Path) -> None:
    path = tmp_path / "broker.sock"
    with socket.socket(socket.AF_UNIX) as left_over:
        left_over.bind(str(path))
    broker.end_orphan(path)
    assert not path.exists()


def test_a_folder_is_held_once_and_free_again_when_let_go(tmp_path: Path) -> None:
    first = hold(tmp_path)
    with pytest.raises(FolderInUse, match=f"process {os.getpid()}"):
        hold(tmp_path)
    first.close()
    hold(tmp_path).close()
