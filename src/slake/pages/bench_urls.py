"""Addresses of the bench session: the page that stays open while hands are wet, its entries, sheet and label."""

from django.urls import path

from .bench import printed, views

urlpatterns = [
    path("batches/<int:number>/bench/", views.bench, name="bench"),
    path("batches/<int:number>/bench/now/", views.bench_now, name="bench_now"),
    path("batches/<int:number>/entries/", views.entries, name="bench_entries"),
    path("batches/<int:number>/sheet/", printed.sheet, name="sheet"),
    path("batches/<int:number>/label/", printed.label, name="label"),
    path("batches/<int:number>/label/code.svg", printed.code, name="label_code"),
]
