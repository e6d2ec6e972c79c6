"""Addresses of the notebook and the next batch."""

from django.urls import path

from .next.notebook_views import notebook
from .next.proposal_views import next_batch, work_out

urlpatterns = [
    path("next/", next_batch, name="next"),
    path("next/work/", work_out, name="next-work"),
    path("notebook/", notebook, name="notebook"),
]
