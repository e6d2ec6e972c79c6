"""Addresses of the instruments: list, one with its checks, a new one, a change, a check."""

from django.urls import path

from .views import instruments

urlpatterns = [
    path("instruments/", instruments.list_all, name="instruments"),
    path("instruments/new/<slug:kind>/", instruments.new, name="new_instrument"),
    path("instruments/<int:instrument_id>/", instruments.one, name="instrument"),
    path("instruments/<int:instrument_id>/change/", instruments.change, name="change_instrument"),
    path("instruments/<int:instrument_id>/check/", instruments.check, name="check_instrument"),
]
