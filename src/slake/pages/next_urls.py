"""Addresses of the notebook, the map of what was tried and the next batch."""

from django.urls.resolvers import URLPattern

urlpatterns: list[URLPattern] = []
