"""Addresses of a new lot of a known recipe."""

from django.urls import path

from .next.lot_views import begin_lot, new_lot, new_lots, work_out_lot

urlpatterns = [
    path("new-lot/", new_lots, name="new_lots"),
    path("lots/<int:lot_id>/new/", new_lot, name="new_lot"),
    path("lots/<int:lot_id>/new/work/", work_out_lot, name="new_lot_work"),
    path("lots/<int:lot_id>/new/begin/", begin_lot, name="begin_lot"),
]
