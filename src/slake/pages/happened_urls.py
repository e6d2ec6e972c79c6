"""Addresses of what happened here."""

from django.urls import path

from .happened import views

urlpatterns = [
    path("happened/", views.happened, name="happened"),
    path("happened/side-by-side/", views.compare, name="side_by_side"),
    path("happened/trend/<slug:key>/", views.trends, name="trend"),
    path("happened/trend/<slug:key>/<slug:shape>.svg", views.trend_drawing, name="trend_drawing"),
    path("happened/stiffness/", views.stiffness, name="stiffness"),
    path("happened/stiffness/<slug:shape>.svg", views.stiffness_drawing, name="stiffness_drawing"),
]
