"""What a tablet's outbox sends and gets: a JSON list of entries, limited in number, size and pace."""

from __future__ import annotations

import json
import re
from collections import deque
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from threading import Lock
from typing import Any

from slake.ground.problems import Problem

MOST_ENTRIES = 50
MOST_BYTES = 128 * 1024
MOST_FIELDS = 60
LONGEST_FIELD = 2000
LATEST_MS = 1e15
ENTRY_ID = re.compile(r"[A-Za-z0-9._-]{8,40}")


class NotReadable(Problem):
    """The whole message is not what the outbox sends; nothing of it was done."""


@dataclass(frozen=True, kw_only=True)
class Sent:
    """One entry as it came. `kept`: how long the tablet had it, by the tablet's own clock."""

    id: str
    kind: str
    kept: timedelta
    typed: Mapping[str, str]
    rows: Sequence[Mapping[str, str]]


def read_message(body: bytes) -> list[Sent]:
    """{"sent": ms, "entries": [{"id", "kind", "at": ms, "typed": {}, "rows": [{}]}]}. Raises NotReadable."""
    if len(body) > MOST_BYTES:
        raise NotReadable(f"the message has {len(body)} bytes, but at most {MOST_BYTES} fit: send fewer entries")
    try:
        message = json.loads(body)
    except (ValueError, RecursionError):
        raise NotReadable("the message is no JSON: load the page again") from None
    entries = message.get("entries") if isinstance(message, dict) else None
    if not isinstance(entries, list) or not 0 < len(entries) <= MOST_ENTRIES:
        raise NotReadable(f"a message carries 1 to {MOST_ENTRIES} entries: load the page again")
    sent_ms = _milliseconds(message.get("sent"))
    return [_entry(entry, sent_ms) for entry in entries]


def _entry(given: Any, sent_ms: float) -> Sent:
    if not isinstance(given, dict):
        raise NotReadable("an entry is not what the page sends: load the page again")
    found, rows = given.get("id"), given.get("rows", [])
    if not isinstance(found, str) or not ENTRY_ID.fullmatch(found):
        raise NotReadable("an entry has no id the bench can use: load the page again")
    if not isinstance(rows, list) or len(rows) > MOST_FIELDS:
        raise NotReadable(f"an entry carries at most {MOST_FIELDS} rows: load the page again")
    return Sent(
        id=found,
        kind=str(given.get("kind"))[:40],
        kept=timedelta(milliseconds=min(max(sent_ms - _milliseconds(given.get("at")), 0), 1e12)),
        typed=_texts(given.get("typed", {})),
        rows=[_texts(row) for row in rows],
    )


def _texts(given: Any) -> dict[str, str]:
    if not isinstance(given, dict) or len(given) > MOST_FIELDS:
        raise NotReadable(f"an entry carries at most {MOST_FIELDS} fields: load the page again")
    fine = all(isinstance(text, str) and len(text) <= LONGEST_FIELD and len(name) <= 80 for name, text in given.items())
    if not fine:
        raise NotReadable(f"a field holds text of at most {LONGEST_FIELD} characters: shorten it and send it again")
    return given


def _milliseconds(given: Any) -> float:
    if isinstance(given, bool) or not isinstance(given, int | float) or not abs(given) < LATEST_MS:
        raise NotReadable("an entry does not say when it was made: load the page again")
    return float(given)


class Pace:
    """How many messages came lately from one device: a page that is open needs far fewer."""

    def __init__(self, most: int = 120, within_s: float = 60.0) -> None:
        self.most, self.within_s = most, within_s
        self._came: deque[tuple[float, str]] = deque(maxlen=5000)
        self._lock = Lock()

    def take(self, who: str, now_s: float) -> bool:
        """Count one message; False when this device already sent too many."""
        with self._lock:
            while self._came and now_s - self._came[0][0] > self.within_s:
                self._came.popleft()
            if sum(1 for _, other in self._came if other == who) >= self.most:
                return False
            self._came.append((now_s, who))
            return True
