"""Addresses of what to change: levers after cracks."""

from django.urls import path

from .next.levers_views import levers_page

urlpatterns = [
    path("batches/<int:number>/levers/", levers_page, name="levers"),
]
