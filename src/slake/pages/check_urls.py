"""Addresses of the check before the print; its result is the page of its work."""

from django.urls import path

from .check import views

urlpatterns = [
    path("check/", views.check, name="check"),
    path("check/<int:job_id>/margin-<slug:shape>.svg", views.margin_drawn, name="check_margin"),
    path("check/<int:job_id>/scaled.<slug:ending>", views.scaled, name="check_scaled"),
]
