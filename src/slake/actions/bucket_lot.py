"""The sieved powder of a bucket as a lot, with what its drying said and a sample kept aside."""

from __future__ import annotations

from collections.abc import Mapping

from slake.ground.evidence import Range
from slake.ground.numbers import Limits, read_number, read_optional
from slake.ground.problems import Problem
from slake.ground.units import from_si
from slake.paste.lot import stated_moisture
from slake.records.models import Bucket, Lot

from .bucket_told import StepTold, drying_of, item_of
from .buckets import on_its_way
from .entry import Entry, recorded, short_text
from .lots import take_lots, take_out

SAMPLE = Limits(low=1, high=1000, unit="g", do="30 to 50 g is usual")
POWDER = Limits(low=1, high=1e6, unit="g", do="weigh the sieved powder")
LONGEST_LOT_NAME = 70


def make_lot(entry: Entry, bucket_id: int, typed: Mapping[str, str]) -> Lot:
    """The sieved powder of a bucket as a lot: grams in, how milled, and a retained sample out of it with its place."""
    with recorded(entry, "make lot", {"bucket": bucket_id, **typed}) as log:
        if log.before is not None:
            return Lot.objects.get(pk=log.before["lot"])
        bucket = on_its_way(bucket_id)
        grams = read_number(typed.get("grams", ""), "Powder, as it is now", POWDER)
        if grams > bucket.wet_g:
            raise Problem(
                f"the powder is {grams:g} g and the bucket was {bucket.wet_g:g} g: waste only loses on the way, "
                "so weigh the powder again"
            )
        (lot,) = take_lots(Entry(id=entry.part("lot"), at=entry.at, person=entry.person), [_row(bucket, typed)])
        _keep_sample(entry, lot, typed)
        bucket.lot = lot
        bucket.revision += 1
        bucket.save()
        log.answer = {"lot": lot.pk}
        return lot


def _row(bucket: Bucket, typed: Mapping[str, str]) -> dict[str, str]:
    milled = short_text(typed.get("milled"), "how it was milled", 500)
    note = short_text(typed.get("note"), "the note", 1000)
    drying = drying_of(bucket)
    said = [f"From {bucket} of {bucket.source}.", _dried(drying), f"Milled: {milled}." if milled else "", note]
    return {
        "ingredient": item_of(bucket).name,
        "role": bucket.role,
        "name": short_text(typed.get("name"), "the name of the lot", LONGEST_LOT_NAME),
        "grams": typed.get("grams", ""),
        "sieve_um": typed.get("sieve_um", ""),
        "moisture_percent": _moisture(drying),
        "dried": "yes",
        "note": " ".join(part for part in said if part),
    }


def _dried(drying: StepTold | None) -> str:
    """What the weighings while drying said, carried along with the lot."""
    if drying is None or drying.dry is None:
        return ""
    low, mid, high = (from_si(part, "%") for part in _ends(drying.dry.moisture))
    steady = "the last two weighings steady" if drying.dry.end.reached else "not steady yet"
    return f"Drying said about {mid:.0f} % moisture ({low:.0f} to {high:.0f}, 80 %), {steady}."


def _moisture(drying: StepTold | None) -> str:
    """The figure itself where the weighings know it as well as a person who says it; else what is usual is better."""
    if drying is None or drying.dry is None:
        return ""
    low, mid, high = _ends(drying.dry.moisture)
    said = stated_moisture(mid).value
    return f"{from_si(mid, '%'):.2f}" if high - low <= said.high - said.low else ""


def _ends(value: Range) -> tuple[float, float, float]:
    return value.low, value.mid, value.high


def _keep_sample(entry: Entry, lot: Lot, typed: Mapping[str, str]) -> None:
    """A sample kept aside leaves the stock and says where it is."""
    grams = read_optional(typed.get("sample_g"), "Sample kept aside", SAMPLE)
    place = short_text(typed.get("sample_where"), "where the sample is", 300)
    if grams is None:
        return
    if not place:
        raise Problem("where the sample is was not said: a shelf and a label are enough, or leave the sample open")
    take_out(lot, grams, entry, "kept as sample", note=place)
