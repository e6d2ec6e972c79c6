"""A packed bench moves into an empty one: all of it, in one transaction, or nothing."""

from __future__ import annotations

import base64
import binascii
import hashlib
import json
import zipfile
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from django.core.exceptions import ValidationError
from django.db import DatabaseError, models, transaction

from slake.ground.problems import DoesNotFit, Problem
from slake.records.which import current_bench

from .take_along import FORMAT, MANIFEST, Progress, fields_of, newest_migration, tables

MOST_UNPACKED = 4_000_000_000
LONGEST_LINE = 64_000_000
LARGEST_MANIFEST = 2**20
CHUNK = 500
CHUNK_BYTES = 32_000_000


def move_in(file: Path, progress: Progress = lambda done, total: None) -> dict[str, int]:
    """Everything packed in `file` into the bench one is at, which must be empty. Raises Problem, and writes nothing."""
    try:
        with zipfile.ZipFile(file) as box:
            manifest = _manifest(box)
            total = sum(row["rows"] for row in manifest["tables"].values())
            with transaction.atomic(using=current_bench.get()):
                require_empty()
                return _move(box, manifest["tables"], lambda done: progress(done, total))
    except (zipfile.BadZipFile, EOFError, NotImplementedError):
        raise Problem("this is no packed bench: choose a file that slake packed, ending in .zip") from None
    except (DatabaseError, ValidationError, TypeError, ValueError) as error:
        raise Problem(
            f"a row in this file does not fit the bench ({type(error).__name__}): nothing was taken over; pack it again"
        ) from error


def require_empty() -> None:
    held = next((name for name, model in tables().items() if model.objects.exists()), None)
    if held is not None:
        raise DoesNotFit(
            f"this bench is not empty (it has rows of “{held}”): a packed bench only moves into an empty one; start "
            "slake with an empty folder (SLAKE_HOME) and move in there"
        )


def _manifest(box: zipfile.ZipFile) -> dict[str, Any]:
    if sum(item.file_size for item in box.infolist()) > MOST_UNPACKED:
        raise Problem("unpacked, this file is larger than 4 GB: slake packs nothing that large, so it was not opened")
    try:
        found = json.loads(_manifest_text(box))
        rows = {name: int(row["rows"]) for name, row in found["tables"].items()}
    except (KeyError, ValueError, TypeError, AttributeError):
        raise Problem("this zip holds no bench.json that slake wrote: choose a file that slake packed") from None
    if found.get("format") != FORMAT or str(found.get("migration", "~")) > newest_migration():
        raise Problem(f"this bench was packed by a newer slake ({str(found.get('slake'))[:20]}): update this one first")
    unknown = sorted(set(rows) - set(tables()))
    if unknown:
        raise Problem(f"this file has a table “{unknown[0][:40]}” that no bench has: choose a file that slake packed")
    return found


def _manifest_text(box: zipfile.ZipFile) -> bytes:
    """Never more of it than a bench has use for, whatever the zip says of its size."""
    with box.open(MANIFEST) as opened:
        text = opened.read(LARGEST_MANIFEST + 1)
    if len(text) > LARGEST_MANIFEST:
        raise Problem(
            f"the list of tables in this file is larger than {LARGEST_MANIFEST // 2**20} MB, which slake never writes: "
            "choose a file that slake packed"
        )
    return text


def _move(box: zipfile.ZipFile, said: Mapping[str, Any], progress: Any) -> dict[str, int]:
    counts, done = {}, 0
    for name, model in tables().items():
        if name not in said:
            continue
        counts[name] = _move_table(box, name, model, said[name])
        done += counts[name]
        progress(done)
    return counts


def _move_table(box: zipfile.ZipFile, name: str, model: type[models.Model], said: Mapping[str, Any]) -> int:
    digest, count = hashlib.sha256(), 0
    for lines in _chunks(_lines(box, name)):
        for line in lines:
            digest.update(line)
        model.objects.bulk_create(_row(model, json.loads(line)) for line in lines)
        count += len(lines)
    if count != said["rows"] or digest.hexdigest() != said["sha256"]:
        raise Problem(
            f"the rows of “{name}” are not those that were packed ({count} of {said['rows']}, or changed since): "
            "nothing was taken over; pack the bench again"
        )
    return count


def _chunks(lines: Iterator[bytes]) -> Iterator[list[bytes]]:
    """A few at a time, by count and by size: a kept file is one long line."""
    chunk, size = [], 0
    for line in lines:
        chunk.append(line)
        size += len(line)
        if len(chunk) == CHUNK or size > CHUNK_BYTES:
            yield chunk
            chunk, size = [], 0
    yield chunk


def _lines(box: zipfile.ZipFile, name: str) -> Iterator[bytes]:
    try:
        member = box.open(f"rows/{name}.jsonl")
    except KeyError:
        raise Problem(f"this file lacks the rows of “{name}”: it was cut short; pack the bench again") from None
    with member as lines:
        while line := lines.readline(LONGEST_LINE):
            yield line


def _row(model: type[models.Model], given: Mapping[str, Any]) -> models.Model:
    """One row as it was, each field checked as a form would; a column newer than the file keeps its default. Limits
    and links are held by the file itself.
    """
    fields = {field.attname: field for field in fields_of(model)}
    unknown = sorted(set(given) - set(fields))
    if unknown:
        raise Problem(f"a row has a column “{unknown[0][:40]}” that no bench has: choose a file that slake packed")
    row = model(**{name: _value(fields[name], value) for name, value in given.items()})
    row.clean_fields(exclude=[field.name for name, field in fields.items() if _is_checked_elsewhere(field, row, name)])
    return row


def _is_checked_elsewhere(field: models.Field[Any, Any], row: models.Model, name: str) -> bool:
    """Links by the file's own foreign keys; lists, kept files and open values may be empty."""
    open_value = field.null and getattr(row, name) is None
    return open_value or isinstance(field, models.ForeignKey | models.JSONField | models.BinaryField)


def _value(field: models.Field[Any, Any], value: Any) -> Any:
    if isinstance(field, models.BinaryField):
        try:
            return base64.b64decode(value, validate=True)
        except (binascii.Error, TypeError):
            raise Problem("a kept file in this box cannot be read: pack the bench again") from None
    return field.to_python(value) if isinstance(field, models.DateTimeField) else value
