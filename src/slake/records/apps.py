from django.apps import AppConfig
from django.conf import settings
from django.utils.module_loading import import_string

from slake.bench import shelf


class RecordsConfig(AppConfig):
    name = "slake.records"
    label = "records"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Readings a lab declared as data stand on the shelf beside slake's own."""
        if settings.LENDS_OWN_READINGS:
            shelf.lend(import_string("slake.records.own_tests.declared_here"))
