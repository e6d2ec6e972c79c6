"""The drying page: schedule first, cautions where they bite, a curve with its table, weighings, sentences for slips."""

from __future__ import annotations

import re

import pytest

ASK = "wall_mm=4&air_c=20&humidity_percent=50&draught=still&bed=closed&kind=mineral&water_percent=31"
WEIGHED = "&hours_1=0&grams_1=312,4&hours_2=20&grams_2=271"


def page(client, query: str, status: int = 200) -> str:
    answer = client.get(f"/drying/?{query}")
    assert answer.status_code == status
    return answer.content.decode()


def test_opened_it_only_asks(client, bench):
    shown = client.get("/drying/")
    assert shown.status_code == 200 and "Keep it covered" not in shown.content.decode()
    assert "don&#x27;t know" in shown.content.decode()


def test_nothing_known_is_still_answered_and_wider(client, bench):
    def range_h(shown: str) -> float:
        low, high = re.search(r"Dry enough to coat</th>.*?\(([\d.]+) to ([\d.]+)\)", shown, re.S).groups()
        return float(high) / float(low)

    assert range_h(page(client, "ask=1")) > 1.3 * range_h(page(client, ASK))


def test_the_schedule_comes_first_with_ranges_then_cautions_curve_and_table(client, bench):
    shown = page(client, ASK)
    order = [
        "Cut it free and turn it",
        "Keep it covered",
        "Shrinking ends",
        "Dry enough to coat",
        "Lifting: a wet piece",
    ]
    order += ["No oven above 40 C", "/drying/wide.svg", "The same as a table", "Cracks and warping", "Ask it otherwise"]
    places = [shown.index(words) for words in order]
    assert places == sorted(places)
    assert "80 % ranges" in shown and 'value="20"' in shown and "were it at the wet bulb" in shown.lower()


def test_grades_stand_in_a_table_with_reasons_and_what_they_rest_on(client, bench):
    shown = page(client, ASK)
    assert "0 none" in shown and "5 broken" in shown and "What brings it most:" in shown and "What would help:" in shown
    assert "No crack grade of this paste is read" in shown


def test_two_weighings_correct_the_rest_and_stand_in_the_drawing(client, bench):
    shown = page(client, ASK + WEIGHED)
    assert "corrected by 2 weighings" in shown and "Before it was weighed: dry enough to coat after" in shown
    gone, low, high = map(int, re.search(r"Gone of the water that leaves: (\d+) % \((\d+) to (\d+)\)", shown).groups())
    assert 25 < low <= gone <= high < 80
    drawn = client.get(f"/drying/wide.svg?{ASK}{WEIGHED}").content.decode()
    assert ">weighed<" in drawn and ">shrunk<" in drawn and ">cover off<" in drawn
    assert ">weighed<" not in client.get(f"/drying/wide.svg?{ASK}").content.decode()


@pytest.mark.parametrize(
    ("query", "words"),
    [
        ("wall_mm=nan", "type one plain number"),
        ("wall_mm=900", "thickness of the wall (mm) is 900"),
        ("humidity_percent=120", "humidity of the air (%) is 120"),
        ("air_c=-12", "temperature of the air (C) is -12"),
        ("bed=moon", "what it lies on is “moon”"),
        (f"{ASK}&hours_1=0&grams_1=300", "weigh it once more"),
        (f"{ASK}&hours_1=0&grams_1=300&hours_2=5", "weighing 2 has no grams"),
        (f"{ASK}&hours_1=0&grams_1=300&hours_2=5&grams_2=320", "it grew from 300 to 320 g"),
        (f"{ASK}&hours_1=5&grams_1=300&hours_2=1&grams_2=290", "hours do not rise"),
        (f"{ASK}&hours_1=0&grams_1=300&hours_2=60&grams_2=90", "was water"),
        (f"{ASK}&hours_1=0&grams_1=300&hours_2=5&grams_2=280&tray_g=290", "no more than the tray"),
        (f"{ASK}&first_percent=32", "one of first and last bead"),
        (f"{ASK}&curve=yes", "drying curve of this batch"),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence_with_everything_still_typed(client, bench, query, words):
    shown = page(client, query, status=422)
    assert words in shown.replace("&#x27;", "'") and "Keep it covered" not in shown
    name, _, text = query.split("&")[-1].partition("=")
    assert f'value="{text}"' in shown or name in {"bed", "curve"}
    assert client.get(f"/drying/wide.svg?{query}").status_code == 404


def test_cautions_bite_where_they_should(client, bench):
    plain = page(client, ASK + "&covered_h=3&shape=ring")
    assert "Lifting" not in plain and "Heaters burn" not in plain and "Mould grows" not in plain
    hot = page(client, ASK + "&covered_h=60&heater=yes")
    assert "Heaters burn" in hot and "Mould grows" in hot and "Lifting" in hot


def test_of_a_batch_it_takes_water_bead_and_grades(client, bench, fill):
    number = bench.cracked.number
    shown = client.get(f"/batches/{number}/drying/?ask=1").content.decode()
    assert "one bead of the machine" in shown and "as mixed" in shown and "worked out from the recipe" in shown
    assert fill(f"/read/crack_grade/batch/{bench.cracked.pk}/", in_crack_grade="4").status_code == 302
    after = client.get(f"/batches/{number}/drying/?ask=1").content.decode()
    chance = [
        int(re.search(r"grade 2 or worse comes with a chance of (\d+) %", text).group(1)) for text in (shown, after)
    ]
    assert chance[1] > chance[0] and "crack grade of this batch moved" in after
    assert f"/batches/{number}/drying/" in client.get(f"/batches/{number}/").content.decode()


def test_a_drying_curve_of_the_batch_is_taken_over(client, bench, fill):
    number, pk = bench.cracked.number, bench.cracked.pk
    where = f"/batches/{number}/drying/"
    assert "Take the weighings of its drying curve" not in client.get(where).content.decode()
    rows = {}
    for n, (hours, grams) in enumerate((("0", "140"), ("4", "137"), ("20", "128")), start=1):
        rows |= {f"row{n}__hours": hours, f"row{n}__mass_g": grams}
    assert fill(f"/read/drying_curve/batch/{pk}/", in_tare_g="10", in_scale_step_g="0.1", **rows).status_code == 302
    assert "Take the weighings of its drying curve" in client.get(where).content.decode()
    shown = client.get(f"{where}?curve=yes").content.decode()
    assert "corrected by 3 weighings" in shown and "its drying curve of" in shown
    assert ">weighed<" in client.get(f"{where}phone.svg?curve=yes").content.decode()


def test_letters_of_the_drawing_keep_their_size_on_a_phone(client, bench):
    """Shown at least 340 dots wide on a screen of 390: letters of 8 points of their own at least."""
    svg = client.get(f"/drying/phone.svg?{ASK}").content.decode()
    width = float(re.search(r'<svg[^>]* width="([0-9.]+)pt"', svg).group(1))
    sizes = {float(size) for size in re.findall(r"font-size: ([0-9.]+)px", svg)}
    assert sizes and min(sizes) * 340 / width >= 10


def test_no_such_drawing_or_batch(client, bench):
    assert client.get("/drying/round.svg").status_code == 404
    assert client.get("/batches/9999/drying/").status_code == 404


def test_first_and_last_bead_read_of_a_batch_move_the_chance_of_cracks(client, bench, fill):
    """T9: three points of water more in the first bead."""
    number = bench.cracked.number

    def two_or_worse() -> int:
        shown = client.get(f"/batches/{number}/drying/?ask=1").content.decode()
        return int(re.search(r"grade 2 or worse comes with a chance of (\d+) %", shown).group(1))

    before = two_or_worse()
    beads = {"first_wet_g": "20", "first_dry_g": "13", "last_wet_g": "20", "last_dry_g": "13.8", "scale_step_g": "0.01"}
    where = f"/read/first_last_bead/batch/{bench.cracked.pk}/"
    assert fill(where, **{f"in_{name}": text for name, text in beads.items()}).status_code == 302
    assert two_or_worse() > before
    assert "First and last bead, read" in client.get(f"/batches/{number}/drying/?ask=1").content.decode()


def test_a_piece_dried_in_an_oven_in_the_end_tells_its_own_water(client, bench, fill):
    rows = {"row1__hours": "0", "row1__mass_g": "100", "row2__hours": "9", "row2__mass_g": "93"}
    rows |= {"row3__hours": "30", "row3__mass_g": "78"}
    assert fill(f"/read/drying_curve/batch/{bench.runny.pk}/", in_bone_dry_g="66", **rows).status_code == 302
    shown = client.get(f"/batches/{bench.runny.number}/drying/?ask=1").content.decode()
    assert "drying curve, the piece bone dry" in shown
