"""Everything a bench holds, packed into one zip of open text files, and told apart from any other zip.

Inside: bench.json (version, tables with their counts and checksums), rows/<table>.jsonl (one JSON object a line,
exact) and tables/<table>.csv (the same for spreadsheets, text that looks like a formula made harmless).
"""

from __future__ import annotations

import base64
import csv
import hashlib
import io
import json
import zipfile
from collections.abc import Callable, Iterator, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from django.apps import apps
from django.db import models
from django.db.migrations.recorder import MigrationRecorder

from slake import __version__
from slake.campaign.past.outgoing import harmless
from slake.records.models import Job
from slake.records.which import current_bench

from .as_it_was import bench_as_it_was

FORMAT = 1
STAYS = (Job,)
"""Tables that stay where they are: work in hand on this machine."""
CHUNK = 2000
MANIFEST = "bench.json"
Progress = Callable[[int, int], None]


def tables() -> dict[str, type[models.Model]]:
    """Every table that is packed, by its plain name."""
    return {m._meta.model_name or "": m for m in apps.get_app_config("records").get_models() if m not in STAYS}


def pack(file: Path, at: datetime, progress: Progress = lambda done, total: None) -> dict[str, int]:
    """Write everything of the bench one is at into `file`; answers how many rows of each table went in.

    What is written or changed while it is packed stays out: no row names one that is not packed with it.
    """
    with bench_as_it_was() as alias, zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, compresslevel=4) as box:
        everything = {name: model.objects.using(alias) for name, model in tables().items()}
        total = sum(rows.count() for rows in everything.values())
        done, said = 0, {}
        for name, rows in everything.items():
            count, digest = _write_rows(box, name, rows, lambda n, before=done: progress(before + n, total))
            _write_csv(box, name, rows)
            done += count
            said[name] = {"rows": count, "sha256": digest}
        manifest = {"format": FORMAT, "slake": __version__, "made_at": at.isoformat(), "tables": said}
        manifest["migration"] = newest_migration()
        box.writestr(MANIFEST, json.dumps(manifest, indent=1))
    return {name: row["rows"] for name, row in said.items()}


def newest_migration() -> str:
    applied = MigrationRecorder.Migration.objects.using(current_bench.get()).filter(app="records")
    return str(applied.order_by("name").values_list("name", flat=True).last())


def fields_of(model: type[models.Model]) -> list[models.Field[Any, Any]]:
    return list(model._meta.concrete_fields)


def _rows(rows: models.QuerySet[Any]) -> Iterator[tuple[Any, ...]]:
    names = [field.attname for field in fields_of(rows.model)]
    yield from rows.order_by("pk").values_list(*names).iterator(CHUNK)


def _write_rows(
    box: zipfile.ZipFile, name: str, rows: models.QuerySet[Any], said: Callable[[int], None]
) -> tuple[int, str]:
    names = [field.attname for field in fields_of(rows.model)]
    digest, count = hashlib.sha256(), 0
    with box.open(f"rows/{name}.jsonl", "w", force_zip64=True) as out:
        for row in _rows(rows):
            pairs = zip(names, row, strict=True)
            line = json.dumps({key: plain(value) for key, value in pairs}, ensure_ascii=False).encode() + b"\n"
            digest.update(line)
            out.write(line)
            count += 1
            if count % CHUNK == 0:
                said(count)
    said(count)
    return count, digest.hexdigest()


def plain(value: Any) -> Any:
    """A value of a row as JSON holds it: times with their zone, bytes as base64; text and numbers as they are."""
    if isinstance(value, datetime):
        return value.isoformat()
    if isinstance(value, bytes | memoryview):
        return base64.b64encode(bytes(value)).decode("ascii")
    return value


def _write_csv(box: zipfile.ZipFile, name: str, rows: models.QuerySet[Any]) -> None:
    kept = [field for field in fields_of(rows.model) if not isinstance(field, models.BinaryField)]
    where = [fields_of(rows.model).index(field) for field in kept]
    with (
        box.open(f"tables/{name}.csv", "w", force_zip64=True) as raw,
        io.TextIOWrapper(raw, "utf-8", newline="") as out,
    ):
        writer = csv.writer(out)
        writer.writerow([field.attname for field in kept])
        for row in _rows(rows):
            writer.writerow([cell(row[n]) for n in where])


def cell(value: Any) -> Any:
    """A value as a spreadsheet may hold it: text that it would take for a formula gets a ' before it."""
    if isinstance(value, Mapping | list):
        value = json.dumps(value, ensure_ascii=False)
    return harmless(plain(value))
