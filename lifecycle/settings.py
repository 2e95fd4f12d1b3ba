"""Every setting, read from the environment; a bad value stops the start with a sentence."""

from pathlib import Path
from typing import Any

import django_stubs_ext
from csp.constants import NONE, SELF
from django.core.exceptions import ImproperlyConfigured

from lifecycle.readers import (
    broker,
    broker_socket,
    read_database,
    read_flag,
    read_kept_secret,
    read_list,
    read_number,
    read_secret,
    read_single_sign_on,
    read_text,
)

django_stubs_ext.monkeypatch()

BASE_DIR = Path(__file__).resolve().parent.parent
DATA_DIR = Path(read_text("SHOWREST_DATA", str(BASE_DIR / "data"))).expanduser().resolve()

DEBUG = read_flag("SHOWREST_DEBUG")
SECRET_KEY = read_secret(DATA_DIR)
ALLOWED_HOSTS = read_list("SHOWREST_HOSTS", "127.0.0.1,localhost,[::1]")
if "*" in ALLOWED_HOSTS:
    raise ImproperlyConfigured("SHOWREST_HOSTS must name the hosts; * is not accepted.")
HTTPS = read_flag("SHOWREST_HTTPS")
# The address of the one reverse proxy whose word about the visitor is taken.
PROXY = read_text("SHOWREST_PROXY")
# How many of our own stand one behind the other: that many entries of its header are ours.
PROXIES = read_number("SHOWREST_PROXIES", 1, least=1, most=8)
CSRF_TRUSTED_ORIGINS = read_list("SHOWREST_TRUSTED_ORIGINS", "")
PORT = read_number("SHOWREST_PORT", 8000, least=1, most=65535)
# The address somebody gave the house; without one, pages go by the one they were asked at.
NAMED_URL = read_text("SHOWREST_URL").rstrip("/")
SITE_URL = NAMED_URL or f"http://127.0.0.1:{PORT}"
BIND = read_text("SHOWREST_BIND", "127.0.0.1")
DEMO = read_flag("SHOWREST_DEMO")
# Set by the start itself, for its own children: the digest of the code that begins the museum.
BEGINNING = read_text("SHOWREST_BEGINNING")

# Single sign-on with OpenID Connect, by setting alone.
SSO = read_single_sign_on()
SSO_TRUSTS_MAIL = read_flag("SHOWREST_OIDC_TRUST_MAIL")

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
    *(["allauth.socialaccount", "allauth.socialaccount.providers.openid_connect"] if SSO else []),
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
    "lifecycle.pages.bad_addresses.BadAddressMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "lifecycle.pages.empty_house.EmptyHouseMiddleware",
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

# A file cache: all processes of the machine count the same failed sign-ins. Above its most entries
# it forgets a third of them, whichever: few, and a guesser would wash the counts away with names.
CACHES: dict[str, dict[str, Any]] = {
    "default": {
        "BACKEND": "django.core.cache.backends.filebased.FileBasedCache",
        "LOCATION": DATA_DIR / "cache",
        "OPTIONS": {"MAX_ENTRIES": 10_000},
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
BACKUPS_DIR = Path(read_text("SHOWREST_BACKUPS", str(DATA_DIR / "backups"))).expanduser()
# How many days, weeks and months keep the last backup made in them.
BACKUPS_KEPT = (
    read_number("SHOWREST_BACKUPS_DAILY", 7, least=1, most=366),
    read_number("SHOWREST_BACKUPS_WEEKLY", 5, least=0, most=520),
    read_number("SHOWREST_BACKUPS_MONTHLY", 12, least=0, most=1200),
)
MAX_UPLOAD_MB = read_number("SHOWREST_MAX_UPLOAD_MB", 420, least=1, most=2048)
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
ACCOUNT_ADAPTER = "lifecycle.pages.account.adapter.AccountAdapter"
ACCOUNT_FORMS = {
    "login": "lifecycle.pages.account.forms.SignInForm",
    "change_password": "lifecycle.pages.account.forms.ChangePasswordForm",
    "reset_password": "lifecycle.pages.account.forms.AskForLinkForm",
    "reset_password_from_key": "lifecycle.pages.account.forms.ChoosePasswordForm",
}
ACCOUNT_LOGIN_METHODS = {"username"}
ACCOUNT_SIGNUP_FIELDS = ["username*", "password1*", "password2*"]
ACCOUNT_EMAIL_VERIFICATION = "none"
ACCOUNT_EMAIL_SUBJECT_PREFIX = ""
ACCOUNT_EMAIL_UNKNOWN_ACCOUNTS = False
ACCOUNT_LOGOUT_ON_GET = False
ACCOUNT_LOGIN_ON_PASSWORD_RESET = True
ACCOUNT_SESSION_REMEMBER = False
ACCOUNT_RATE_LIMITS = {
    "login": "60/m/ip",
    "login_failed": "30/m/ip,5/15m/key",
    "reset_password": "20/m/ip,5/h/key",
    "reset_password_from_key": "20/m/ip",
    "change_password": "5/m/user",
    "reauthenticate": "10/m/user",
}
LINK_HOURS = read_number("SHOWREST_LINK_HOURS", 72, least=1, most=336)
PASSWORD_RESET_TIMEOUT = LINK_HOURS * 3600
MFA_SUPPORTED_TYPES = ["totp", "recovery_codes"]
MFA_TOTP_ISSUER = "Showrest"
MFA_TOTP_TOLERANCE = 1  # a telephone's clock may be half a minute off
MFA_FORMS = {
    "authenticate": "lifecycle.pages.account.forms.SecondStepForm",
    "reauthenticate": "lifecycle.pages.account.forms.SecondStepForm",
    "activate_totp": "lifecycle.pages.account.forms.SetUpSecondStepForm",
}
if SSO:
    SOCIALACCOUNT_ADAPTER = "lifecycle.pages.account.single_sign_on.IdentityAdapter"
    SOCIALACCOUNT_AUTO_SIGNUP = False
    # A link, not a form: our content policy lets forms go to our own pages alone.
    SOCIALACCOUNT_LOGIN_ON_GET = True
    SOCIALACCOUNT_STORE_TOKENS = False
    SOCIALACCOUNT_PROVIDERS = {
        "openid_connect": {
            "OAUTH_PKCE_ENABLED": True,
            "APPS": [
                {
                    "provider_id": "house",
                    "name": SSO["name"],
                    "client_id": SSO["client"],
                    "secret": SSO["secret"],
                    "settings": {"server_url": SSO["server"]},
                }
            ],
        }
    }

SESSION_COOKIE_AGE = 60 * 60 * 12
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = HTTPS
SESSION_COOKIE_SAMESITE = CSRF_COOKIE_SAMESITE = "Lax"
SECURE_SSL_REDIRECT = HTTPS
SECURE_HSTS_SECONDS = read_number(
    "SHOWREST_HSTS_SECONDS", 31_536_000 if HTTPS else 0, least=0, most=63_072_000
)
SECURE_HSTS_INCLUDE_SUBDOMAINS = read_flag("SHOWREST_HSTS_SUBDOMAINS")
SECURE_HSTS_PRELOAD = read_flag("SHOWREST_HSTS_PRELOAD")
# Both speak for hosts that are not ours: whoever holds the museum's domain says yes to them.
SILENCED_SYSTEM_CHECKS = ["security.W005", "security.W021"]
# Anybody can send this header: it is believed only where a proxy of ours sets it.
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if PROXY else None
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
EMAIL_HOST_PASSWORD = read_kept_secret("SHOWREST_SMTP_PASSWORD")
EMAIL_USE_TLS = read_flag("SHOWREST_SMTP_TLS", default=bool(EMAIL_HOST))
EMAIL_TIMEOUT = 20
MAIL_TO_FILES = DEMO or not EMAIL_HOST
MAIL_READY = not MAIL_TO_FILES
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
    # A sign-in link in an address is as good as a password until it is used.
    "filters": {"no_links": {"()": "lifecycle.running.quiet.NoLinks"}},
    "handlers": {
        "stderr": {"class": "logging.StreamHandler", "formatter": "line", "filters": ["no_links"]}
    },
    "root": {"handlers": ["stderr"], "level": read_text("SHOWREST_LOG_LEVEL", "INFO")},
    "loggers": {
        "django": {"handlers": ["stderr"], "level": "INFO", "propagate": False},
        # Ticks come every few seconds; only what goes wrong is worth a line.
        "celery.app.trace": {"level": "WARNING"},
        "celery.worker.strategy": {"level": "WARNING"},
        "celery.beat": {"level": "WARNING"},
    },
}
