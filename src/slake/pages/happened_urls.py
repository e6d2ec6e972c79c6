"""Addresses of what happened here, and of leaving a batch out of it."""

from django.urls import path

from .happened import repeat_views, views
from .views import striking

urlpatterns = [
    path("happened/", views.happened, name="happened"),
    path("batches/<int:number>/strike/", striking.strike_a_batch, name="strike_batch"),
    path("happened/repeat/", repeat_views.repeat, name="repeat"),
    path("happened/side-by-side/", views.compare, name="side_by_side"),
    path("happened/trend/<slug:key>/", views.trends, name="trend"),
    path("happened/trend/<slug:key>/<slug:shape>.svg", views.trend_drawing, name="trend_drawing"),
    path("happened/stiffness/", views.stiffness, name="stiffness"),
    path("happened/stiffness/<slug:shape>.svg", views.stiffness_drawing, name="stiffness_drawing"),
]
