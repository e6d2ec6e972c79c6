"""Addresses of the bench session: the pages that stay open while hands are wet."""

from django.urls.resolvers import URLPattern

urlpatterns: list[URLPattern] = []
