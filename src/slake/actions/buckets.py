"""Buckets of fresh waste: looked at, taken or refused, weighed on their way to powder, made into a lot."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta

from slake.ground.numbers import Limits, read_number, read_optional
from slake.ground.problems import Problem
from slake.ground.units import to_si
from slake.paste.ingredients import Role, close_to, find
from slake.records.models import Bucket, BucketWeighing, Lot

from .entry import Entry, recorded, refuse_if_moved, short_name, short_text
from .lots import take_lots, take_out

STEPS = ("cleaning", "boiling", "baking", "drying")
ACCEPTED, REFUSED, WAITING = "accepted", "refused", "waiting"
WET = Limits(low=1, high=1e7, unit="g", do="weigh it with the bucket's own mass taken off")
WEIGHED = Limits(low=0.1, high=1e7, unit="g", do="weigh it with the tray's mass taken off")
OPEN_FIELDS = {
    "hours_old": ("Hours old", Limits(low=0, high=10_000, unit="h", do="ask when it was made")),
    "moisture_percent": ("Moisture, of the mass as it is", Limits(low=0, high=99, unit="%")),
    "temperature_c": ("Where it stands", Limits(low=-40, high=80, unit="C")),
}
AGO = Limits(low=0, high=30 * 24 * 60, unit="min", do="say how long ago it was weighed")
SAMPLE = Limits(low=1, high=1000, unit="g", do="30 to 50 g is usual")
POWDER = Limits(low=1, high=1e6, unit="g", do="weigh the sieved powder")
LONGEST_LOT_NAME = 70


def look_at_bucket(entry: Entry, typed: Mapping[str, str]) -> Bucket:
    """A bucket at the door, as far as it is known; nobody has decided on it yet."""
    with recorded(entry, "look at bucket", dict(typed)) as log:
        if log.before is not None:
            return Bucket.objects.get(pk=log.before["bucket"])
        waste = short_name(typed.get("ingredient"), "what waste it is")
        known = find(waste)
        bucket = Bucket.objects.create(
            source=short_name(typed.get("source"), "where it comes from"),
            ingredient=known.key if known else waste,
            role=known.role.value if known else _role_of(typed.get("role", ""), waste),
            since=entry.at,
            wet_g=read_number(typed.get("wet_g", ""), "Wet mass", WET),
            note=short_text(typed.get("note"), "the note"),
            **{name: read_optional(typed.get(name), what, limits) for name, (what, limits) in OPEN_FIELDS.items()},
        )
        log.answer = {"bucket": bucket.pk}
        return bucket


def _role_of(typed: str, waste: str) -> str:
    """What a waste slake does not know is there for. Raises Problem where nobody said, or said no role."""
    word = typed.strip().lower()
    if word in {role.value for role in Role}:
        return word
    alike = close_to(waste)
    meant = f"if it is {alike.name}, type that; if not, " if alike else ""
    raise Problem(f"{waste[:40]} is not in slake's list: {meant}say what it is there for, such as filler or fibre")


def take_bucket(entry: Entry, bucket_id: int, decision: str, reason: str = "", revision: int | None = None) -> Bucket:
    """Taken or refused, and why; a refusal needs its reason. Decided once."""
    with recorded(entry, "take bucket", {"bucket": bucket_id, "decision": decision, "reason": reason}) as log:
        bucket = Bucket.objects.get(pk=bucket_id)
        if log.before is not None:
            return bucket
        refuse_if_moved(str(bucket), bucket.revision, revision)
        if decision not in {ACCEPTED, REFUSED}:
            raise Problem(f"the decision is “{decision[:20]}”: choose accepted or refused")
        if bucket.decision != WAITING:
            raise Problem(f"{bucket} was {bucket.decision} already: look at it as a new bucket if that was wrong")
        bucket.decision = decision
        bucket.reason = short_text(reason, "the reason", needed=decision == REFUSED)
        bucket.revision += 1
        bucket.save()
        return bucket


def weigh_bucket(entry: Entry, bucket_id: int, typed: Mapping[str, str]) -> BucketWeighing:
    """One weighing on the way to powder, of one step, always with the same tare taken off."""
    with recorded(entry, "weigh bucket", {"bucket": bucket_id, **typed}) as log:
        if log.before is not None:
            return BucketWeighing.objects.get(pk=log.before["weighing"])
        bucket = _on_its_way(bucket_id)
        step = typed.get("step", "")
        if step not in STEPS:
            raise Problem(f"the step is “{step[:20]}”: choose one of {', '.join(STEPS)}")
        minutes = read_optional(typed.get("minutes_ago"), "Minutes ago", AGO) or 0.0
        at = entry.at - timedelta(seconds=to_si(minutes, "min"))
        if bucket.weighings.filter(step=step, at=at).exists():
            raise Problem(f"a weighing of {step} at this very time is there already: say how many minutes ago this was")
        row = BucketWeighing.objects.create(
            bucket=bucket,
            step=step,
            grams=read_number(typed.get("grams", ""), "On the scale", WEIGHED),
            typed=typed["grams"].strip()[:80],
            at=at,
            person_id=entry.person,
            entry=entry.id,
        )
        log.answer = {"weighing": row.pk}
        return row


def _on_its_way(bucket_id: int) -> Bucket:
    bucket = Bucket.objects.get(pk=bucket_id)
    if bucket.decision != ACCEPTED:
        raise Problem(f"{bucket} is {bucket.decision}, not accepted: take it first")
    if bucket.lot is not None:
        raise Problem(f"{bucket} is the lot {bucket.lot.name} already: go on there")
    return bucket


def make_lot(entry: Entry, bucket_id: int, typed: Mapping[str, str]) -> Lot:
    """The sieved powder of a bucket as a lot: grams in, how milled, and a retained sample out of it with its place."""
    with recorded(entry, "make lot", {"bucket": bucket_id, **typed}) as log:
        if log.before is not None:
            return Lot.objects.get(pk=log.before["lot"])
        bucket = _on_its_way(bucket_id)
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
    said = [f"From {bucket} of {bucket.source}.", f"Milled: {milled}." if milled else "", note]
    return {
        "ingredient": bucket.ingredient,
        "role": bucket.role,
        "name": short_text(typed.get("name"), "the name of the lot", LONGEST_LOT_NAME),
        "grams": typed.get("grams", ""),
        "sieve_um": typed.get("sieve_um", ""),
        "dried": "yes",
        "note": " ".join(part for part in said if part),
    }


def _keep_sample(entry: Entry, lot: Lot, typed: Mapping[str, str]) -> None:
    """A sample kept aside leaves the stock and says where it is."""
    grams = read_optional(typed.get("sample_g"), "Sample kept aside", SAMPLE)
    place = short_text(typed.get("sample_where"), "where the sample is", 300)
    if grams is None:
        return
    if not place:
        raise Problem("where the sample is was not said: a shelf and a label are enough, or leave the sample open")
    take_out(lot, grams, entry, "kept as sample", note=place)
