"""Addresses of the drying plan."""

from django.urls import path

from .drying import views

urlpatterns = [
    path("drying/", views.plan, name="drying"),
    path("drying/<slug:shape>.svg", views.curve, name="drying_curve_drawn"),
    path("batches/<int:number>/drying/", views.plan, name="batch_drying"),
    path("batches/<int:number>/drying/<slug:shape>.svg", views.curve, name="batch_drying_curve_drawn"),
]
