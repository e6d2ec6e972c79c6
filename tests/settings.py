"""Settings for tests: the real ones on a throw-away folder, with plain static files straight from their rooms."""

import atexit
import os
import shutil
import tempfile

_FOLDER = tempfile.mkdtemp(prefix="slake-tests-")
atexit.register(shutil.rmtree, _FOLDER, ignore_errors=True)
os.environ["SLAKE_HOME"] = _FOLDER
for _name in ("SLAKE_LAN_ADDRESS", "SLAKE_PAIRING_CODE", "SLAKE_HOSTNAMES"):
    os.environ.pop(_name, None)
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"  # playwright keeps an event loop running in the test thread

from slake.server.settings import *  # noqa: E402, F403
from slake.server.settings import ALLOWED_HOSTS, DATABASES  # noqa: E402

ALLOWED_HOSTS = [*ALLOWED_HOSTS, "testserver"]
for _database in DATABASES.values():
    _database["TEST"] = {"NAME": f"{_database['NAME']}.test"}
    _database["CONN_MAX_AGE"] = 0
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.InMemoryStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = True
TIME_ZONE = "UTC"  # on any machine: tests read times off pages
LENDS_OWN_READINGS = False  # tests that need a lab's own readings lend them: no database is asked while tests are found
WORK_IN_OWN_PROCESS = False  # tests call the worker themselves
