"""Settings of the pages. What differs from one start to the next comes from the environment, set by the command line.

SLAKE_HOME the data folder; SLAKE_LAN_ADDRESS the one address served instead of loopback; SLAKE_PAIRING_CODE the
code a device must enter once (given with an address); SLAKE_HOSTNAMES further names this machine answers to.
"""

import os

from tzlocal import get_localzone_name

from slake import __version__
from slake.server.home import OWN, SAMPLE, make_home, secret_key

HOME = make_home()
VERSION = __version__

DEBUG = False
SECRET_KEY = secret_key(HOME)
LAN_ADDRESS = os.environ.get("SLAKE_LAN_ADDRESS", "")
PAIRING_CODE = os.environ.pop("SLAKE_PAIRING_CODE", "")
MORE_NAMES = [
    n for n in (name.strip() for name in os.environ.get("SLAKE_HOSTNAMES", "").split(",")) if n and n[0] not in "*."
]
ALLOWED_HOSTS = [*([LAN_ADDRESS] if LAN_ADDRESS else ["127.0.0.1", "localhost"]), *MORE_NAMES]

INSTALLED_APPS = [
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "slake.records",
    "slake.pages",
    "slake.server",
]
MIDDLEWARE = [
    "slake.server.headers.HeadersMiddleware",
    "slake.server.limits.LimitsMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "slake.server.doors.DoorMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "slake.server.pairing.PairingMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
]
ROOT_URLCONF = "slake.server.urls"
WSGI_APPLICATION = "slake.server.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.messages.context_processors.messages",
                "slake.server.doors.which_door",
            ]
        },
    }
]


def _sqlite(alias: str) -> dict[str, object]:
    return {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": str(HOME.database(alias)),
        "CONN_MAX_AGE": None,
        "OPTIONS": {
            "transaction_mode": "IMMEDIATE",
            "timeout": 20,
            "init_command": "PRAGMA journal_mode=WAL;PRAGMA synchronous=FULL;PRAGMA foreign_keys=ON;"
            "PRAGMA recursive_triggers=ON;",
        },
    }


DATABASES = {OWN: _sqlite(OWN), SAMPLE: _sqlite(SAMPLE)}
LENDS_OWN_READINGS = True
DATABASE_ROUTERS = ["slake.records.which.BenchRouter"]
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

USE_TZ = True
TIME_ZONE = get_localzone_name() or "UTC"
USE_I18N = False
LANGUAGE_CODE = "en-gb"

STATIC_URL = "/static/"
STATIC_ROOT = HOME.static
WHITENOISE_ALLOW_ALL_ORIGINS = False
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.InMemoryStorage"},
    "staticfiles": {"BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"},
}

SESSION_ENGINE = "django.contrib.sessions.backends.signed_cookies"
SESSION_COOKIE_NAME = "slake_device"
SESSION_COOKIE_AGE = 365 * 24 * 3600
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_NAME = "slake_csrf"
CSRF_COOKIE_SAMESITE = "Lax"
CSRF_FAILURE_VIEW = "slake.server.errors.csrf_failed"
MESSAGE_STORAGE = "django.contrib.messages.storage.cookie.CookieStorage"
X_FRAME_OPTIONS = "DENY"

DATA_UPLOAD_MAX_MEMORY_SIZE = 2 * 2**20
DATA_UPLOAD_MAX_NUMBER_FIELDS = 2000
DATA_UPLOAD_MAX_NUMBER_FILES = 5
FILE_UPLOAD_PERMISSIONS = 0o600
FILE_UPLOAD_MAX_MEMORY_SIZE = 2 * 2**20
LONGEST_REQUEST_BYTES = 21 * 2**20
"""Fields and files of one request together; waitress refuses at twice this before a page is asked."""

WORK_IN_OWN_PROCESS = True
"""Long work runs in a worker process of its own; tests run it themselves."""
HELD_WHILE_WORKING = "slake.server.files.in_use"
"""What a worker holds so that nobody changes the files themselves meanwhile."""

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {name} {message}", "style": "{"}},
    "handlers": {
        "nowhere": {"class": "logging.NullHandler"},
        "file": {
            "class": "logging.handlers.RotatingFileHandler",
            "filename": str(HOME.log),
            "maxBytes": 1_000_000,
            "backupCount": 3,
            "delay": True,
            "encoding": "utf-8",
            "formatter": "line",
        },
    },
    "loggers": {
        "slake": {"handlers": ["file"], "level": "INFO", "propagate": False},
        "waitress": {"handlers": ["file"], "level": "WARNING", "propagate": False},
        "django": {"handlers": ["file"], "level": "ERROR", "propagate": False},
        "django.request": {"handlers": ["nowhere"], "propagate": False},
        "django.security": {"handlers": ["nowhere"], "propagate": False},
    },
}
