"""Every address of a bench; the same inside both doors."""

from django.urls import include, path

from .views import batches, brief, home, learn, lots, machine, own_readings, people, readings, recipes, start

urlpatterns = [
    path("", home.home, name="home"),
    path("start/", start.start, name="start"),
    path("start/taken/", start.start_taken, name="start_taken"),
    path("lots/", lots.lots, name="lots"),
    path("lots/<int:lot_id>/", lots.lot, name="lot"),
    path("lots/<int:lot_id>/edit/", lots.edit_lot, name="edit_lot"),
    path("lots/<int:lot_id>/stock/", lots.lot_stock, name="lot_stock"),
    path("lots/<int:lot_id>/heat/", lots.lot_heat, name="lot_heat"),
    path("machine/", machine.machine, name="machine"),
    path("brief/", brief.brief, name="brief"),
    path("room/", people.room, name="room"),
    path("people/", people.people, name="people"),
    path("people/pick/", people.pick_person, name="pick_person"),
    path("read/<slug:test_id>/<slug:kind>/<int:thing_id>/", readings.read, name="read"),
    path("readings/<int:reading_id>/", readings.reading, name="reading"),
    path("strike/<slug:kind>/<int:row_id>/", readings.strike_through, name="strike"),
    path("batches/", batches.batches, name="batches"),
    path("batches/<int:number>/", batches.batch, name="batch"),
    path("recipes/<int:recipe_id>/", recipes.recipe, name="recipe"),
    path("recipes/<int:recipe_id>/recipe.csv", recipes.recipe_csv, name="recipe_csv"),
    path("recipes/<int:recipe_id>/recipe.json", recipes.recipe_json, name="recipe_json"),
    path("details/<slug:subject>/<int:subject_id>/", recipes.details, name="details"),
    path("tests/", learn.tests, name="tests"),
    path("tests/own/", own_readings.own_readings, name="own_readings"),
    path("tests/<slug:test_id>/", learn.test_help, name="test_help"),
    path("sources/", learn.sources, name="sources"),
    path("log/", learn.log, name="log"),
    path("", include("slake.pages.bench_urls")),
    path("", include("slake.pages.instrument_urls")),
    path("", include("slake.pages.ingredient_urls")),
    path("", include("slake.pages.next_urls")),
    path("", include("slake.pages.happened_urls")),
    path("", include("slake.pages.verdict_urls")),
    path("", include("slake.pages.past_urls")),
    path("", include("slake.pages.stock_urls")),
]
