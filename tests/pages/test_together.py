"""Readings that do not agree are said on the batch and at the reading, with the cause and what to do."""

from slake.records.models import Reading


def test_a_slip_by_ten_is_said_where_people_look(client, bench, fill):
    fill(f"/read/fall_cone/batch/{bench.runny.pk}/", in_cone_depth_mm="26", in_cone_mass_g="30")
    quiet = client.get(f"/batches/{bench.runny.number}/").content.decode()
    fill(f"/read/fall_cone/batch/{bench.runny.pk}/", in_cone_depth_mm="26,2", in_cone_mass_g="300")
    loud = client.get(f"/batches/{bench.runny.number}/").content.decode()
    answer = client.get(f"/readings/{Reading.objects.last().pk}/").content.decode()
    assert "slip by ten" not in quiet
    assert "slip by ten" in loud and "30 g and not 300" in loud and "strike it through" in loud
    assert "slip by ten" in answer


def test_readings_that_agree_are_one_range(client, bench, fill):
    for depth in ("26", "26,3"):
        fill(f"/read/fall_cone/batch/{bench.runny.pk}/", in_cone_depth_mm=depth)
    page = client.get(f"/batches/{bench.runny.number}/").content.decode()
    assert (
        "from 2 readings" in page
        and 'class="warn"' not in page.split("All readings together")[1].split("</section>")[0]
    )
