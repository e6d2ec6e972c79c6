"""The one worker process of a bench: `python -m slake.jobs.worker default`. It ends when nothing waits.

Django is set up before anything that needs it is loaded, as the server that started it did.
"""

from __future__ import annotations

import os
import sys
from importlib import import_module

import django
from django.conf import settings
from django.utils.module_loading import import_string

from slake.records.which import using

SETTINGS = "slake.server.settings"


def main(bench: str) -> None:
    """Hold the data folder, so that nobody puts a copy back meanwhile, and do what waits."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", SETTINGS)
    django.setup()
    held = import_string(settings.HELD_WHILE_WORKING)
    with held(settings.HOME), using(bench):
        import_module("slake.jobs.doing").work()


if __name__ == "__main__":
    main(sys.argv[1])
