from django.apps import AppConfig


class PagesConfig(AppConfig):
    name = "slake.pages"
    label = "pages"
