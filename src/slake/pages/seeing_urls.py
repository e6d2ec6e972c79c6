"""Addresses of what is known so far: maps, curves, and whether the ranges kept their word."""

from django.urls import path

from .known_so_far import curve_views, map_views, word_views

urlpatterns = [
    path("map/", map_views.show_map, name="map"),
    path("map/<slug:shape>.svg", map_views.drawing, name="map-drawing"),
    path("curves/", curve_views.show_curves, name="curves"),
    path("curves/<slug:shape>.svg", curve_views.drawing, name="curve-drawing"),
    path("kept-word/", word_views.show_word, name="kept-word"),
    path("kept-word/<slug:shape>.svg", word_views.drawing, name="word-drawing"),
]
