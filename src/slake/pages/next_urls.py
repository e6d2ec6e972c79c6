"""Addresses of the notebook and the next batch."""

from django.urls import path

from .next.notebook_views import notebook
from .next.proposal_views import next_batch, work_out
from .next.today_views import mix_today, today, work_out_today

urlpatterns = [
    path("next/", next_batch, name="next"),
    path("next/work/", work_out, name="next-work"),
    path("next/today/", today, name="today"),
    path("next/today/work/", work_out_today, name="today-work"),
    path("next/today/<int:proposal_id>/mix/", mix_today, name="today-mix"),
    path("notebook/", notebook, name="notebook"),
]
