"""Root of all addresses: the pairing page, and the pages themselves."""

from django.urls import include, path

from .errors import bad_request, forbidden, not_found, our_fault
from .pairing import pair

urlpatterns = [path("pair/", pair, name="pair"), path("", include("slake.pages.urls"))]

handler400 = bad_request
handler403 = forbidden
handler404 = not_found
handler500 = our_fault
