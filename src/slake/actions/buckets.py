"""Buckets of fresh waste: looked at, taken or refused, weighed on their way to powder."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta

from django.db.models import Max

from slake.ground.numbers import Limits, read_number, read_optional
from slake.ground.problems import DoesNotFit, Problem, plain
from slake.ground.units import to_si
from slake.paste.end_point import CHANGE_SHARE
from slake.paste.ingredients import Role, close_to, find
from slake.records.models import Bucket, BucketStrike, BucketWeighing

from .entry import Entry, recorded, refuse_if_moved, short_name, short_text

SOAKING = ("cleaning", "boiling")
SOAKED = 2.0
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
        bucket = on_its_way(bucket_id)
        step = typed.get("step", "")
        if step not in STEPS:
            raise Problem(f"the step is “{step[:20]}”: choose one of {', '.join(STEPS)}")
        minutes = read_optional(typed.get("minutes_ago"), "Minutes ago", AGO) or 0.0
        at = entry.at - timedelta(seconds=to_si(minutes, "min"))
        if bucket.weighings.filter(step=step, at=at, strike=None).exists():
            raise Problem(f"a weighing of {step} at this very time is there already: say how many minutes ago this was")
        grams = read_number(typed.get("grams", ""), "On the scale", WEIGHED)
        _refuse_more_than_there_was(bucket, step, grams)
        row = BucketWeighing.objects.create(
            bucket=bucket,
            step=step,
            grams=grams,
            typed=typed["grams"].strip()[:80],
            at=at,
            person_id=entry.person,
            entry=entry.id,
        )
        log.answer = {"weighing": row.pk}
        return row


def _refuse_more_than_there_was(bucket: Bucket, step: str, grams: float) -> None:
    """Washing and boiling may soak it to about twice what came in (practice); baking and drying only take away."""
    if step in SOAKING:
        most, than = SOAKED * bucket.wet_g, f"{SOAKED:g} times what came in"
    else:
        before = bucket.weighings.filter(strike=None).aggregate(most=Max("grams"))["most"] or 0.0
        most = max(bucket.wet_g, before)
        than = "what came in" if most == bucket.wet_g else "it ever weighed"
    if grams > most * (1 + CHANGE_SHARE):
        raise DoesNotFit(
            f"the scale said {plain(grams)} g while {step}, and that is more than {than}, {plain(most)} g: "
            "take the tray off, weigh again, or strike the weighing that was wrong"
        )


def strike_bucket_weighing(entry: Entry, weighing_id: int, reason: str) -> BucketStrike:
    """A line through one weighing, with the reason; it no longer counts for how far its step is."""
    with recorded(entry, "strike bucket weighing", {"weighing": weighing_id, "reason": reason}) as log:
        if log.before is not None:
            return BucketStrike.objects.get(pk=log.before["strike"])
        row = BucketWeighing.objects.get(pk=weighing_id)
        if BucketStrike.objects.filter(weighing=row).exists():
            raise Problem(f"the {plain(row.grams)} g while {row.step} are struck through already")
        line = BucketStrike.objects.create(
            weighing=row,
            reason=short_text(reason, "the reason", needed=True),
            at=entry.at,
            person_id=entry.person,
            entry=entry.id,
        )
        log.answer = {"strike": line.pk}
        return line


def on_its_way(bucket_id: int) -> Bucket:
    bucket = Bucket.objects.get(pk=bucket_id)
    if bucket.decision != ACCEPTED:
        raise Problem(f"{bucket} is {bucket.decision}, not accepted: take it first")
    if bucket.lot is not None:
        raise Problem(f"{bucket} is the lot {bucket.lot.name} already: go on there")
    return bucket
