"""Addresses of a person's own past: sheets, long work, everything in and out."""

from django.urls import path

from .past import everything_views, views, work

urlpatterns = [
    path("past/", views.past, name="past"),
    path("past/everything/", everything_views.everything, name="everything"),
    path("past/everything/<int:job_id>.zip", everything_views.packed_box, name="packed-box"),
    path("past/<int:sheet_id>/", views.sheet, name="past-sheet"),
    path("jobs/<int:job_id>/", work.one_job, name="job"),
    path("jobs/<int:job_id>/off/", work.call_off_work, name="call-off"),
    path("jobs/<int:job_id>/on/", work.go_on, name="go-on"),
]
