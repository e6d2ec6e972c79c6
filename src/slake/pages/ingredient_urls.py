"""Addresses of the list of ingredients and of each of them."""

from django.urls import path

from .views.ingredients import ingredient, ingredients

urlpatterns = [
    path("ingredients/", ingredients, name="ingredients"),
    path("ingredients/<slug:key>/", ingredient, name="ingredient"),
]
