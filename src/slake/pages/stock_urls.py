"""Addresses from bucket to lot, of the stock, and of packs and cartridges."""

from django.urls import path

from .stock import blend, bridge, buckets, cartridges, ledger, packs

urlpatterns = [
    path("buckets/", buckets.buckets, name="buckets"),
    path("buckets/new/", buckets.new, name="new_bucket"),
    path("buckets/<int:bucket_id>/", buckets.bucket, name="bucket"),
    path("buckets/<int:bucket_id>/weigh/", buckets.weigh, name="weigh_bucket"),
    path("weighings/<int:weighing_id>/strike/", buckets.strike_weighing, name="strike_bucket_weighing"),
    path("buckets/<int:bucket_id>/lot/", buckets.lot_of_it, name="bucket_lot"),
    path("blend/", blend.blend, name="blend"),
    path("lots/<int:lot_id>/ledger/", ledger.lot_ledger, name="lot_ledger"),
    path("recipes/<int:recipe_id>/bridge/", bridge.bridge, name="bridge"),
    path("recipes/<int:recipe_id>/packs/", packs.packs, name="packs"),
    path("recipes/<int:recipe_id>/cartridges/", cartridges.cartridges, name="cartridges"),
    path("batches/<int:number>/cartridges/", cartridges.of_batch, name="batch_cartridges"),
]
