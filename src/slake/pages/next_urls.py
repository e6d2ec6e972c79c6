"""Addresses of the notebook, the map of what was tried and the next batch."""

from django.urls import path

from .next.map_views import drawing, show_map
from .next.notebook_views import notebook
from .next.proposal_views import next_batch, work_out

urlpatterns = [
    path("map/", show_map, name="map"),
    path("map/<slug:shape>.svg", drawing, name="map-drawing"),
    path("next/", next_batch, name="next"),
    path("next/work/", work_out, name="next-work"),
    path("notebook/", notebook, name="notebook"),
]
