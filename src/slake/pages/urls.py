"""Every address of a bench; the same inside both doors."""

from django.urls import include, path

from .views.home import home

urlpatterns = [
    path("", home, name="home"),
    path("", include("slake.pages.bench_urls")),
    path("", include("slake.pages.next_urls")),
]
