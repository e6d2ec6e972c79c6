"""Addresses of the verdict before loading."""

from django.urls import path

from .views import verdict

urlpatterns = [
    path("verdict/", verdict.by_hand, name="verdict"),
    path("verdict/<slug:shape>.svg", verdict.bars, name="verdict_bars"),
    path("batches/<int:number>/verdict/", verdict.of_batch, name="batch_verdict"),
    path("batches/<int:number>/verdict/<slug:shape>.svg", verdict.bars, name="batch_verdict_bars"),
]
