"""Addresses of what to change: levers after cracks, and one ingredient for another."""

from django.urls import path

from .next.levers_views import levers_page
from .next.swap_views import swap_drawing, swap_list, swap_page

urlpatterns = [
    path("batches/<int:number>/levers/", levers_page, name="levers"),
    path("swap/", swap_list, name="swap_list"),
    path("recipes/<int:recipe_id>/swap/", swap_page, name="swap"),
    path("recipes/<int:recipe_id>/swap/<slug:shape>.svg", swap_drawing, name="swap_drawing"),
]
