"""Settings of the tests: nothing of a person's own data folder is touched."""

import atexit
import os
import shutil
import tempfile
from pathlib import Path

_SCRATCH = Path(tempfile.mkdtemp(prefix="showrest-tests-"))
atexit.register(shutil.rmtree, _SCRATCH, ignore_errors=True)
_PASSED_ON = "SHOWREST_TEST_KEEP_ENVIRONMENT"
if not os.environ.get(_PASSED_ON):
    for name in [name for name in os.environ if name.startswith("SHOWREST_")]:
        del os.environ[name]
    os.environ["SHOWREST_DATA"] = str(_SCRATCH / "data")
    if url := os.environ.get("TEST_DATABASE_URL"):
        os.environ["DATABASE_URL"] = url
    elif not os.environ.get("DATABASE_URL", "").startswith("postgres"):
        os.environ["DATABASE_URL"] = "sqlite:///:memory:"
    os.environ.pop("REDIS_URL", None)
    # Single sign-on is switched on so that its pages are tested; nothing answers at this address.
    os.environ["SHOWREST_OIDC_SERVER"] = "http://127.0.0.1:9"
    os.environ["SHOWREST_OIDC_CLIENT_ID"] = "showrest-tests"
    os.environ["SHOWREST_OIDC_CLIENT_SECRET"] = "a client secret of the tests"
    os.environ["SHOWREST_OIDC_NAME"] = "Hollinshire staff sign-in"

from lifecycle.settings import *  # noqa: E402, F403

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
STATIC_ROOT = _SCRATCH / "static"
STATIC_ROOT.mkdir(parents=True, exist_ok=True)
WHITENOISE_USE_FINDERS = True
