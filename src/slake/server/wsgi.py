"""The pages as one WSGI application, for waitress."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "slake.server.settings")
application = get_wsgi_application()
