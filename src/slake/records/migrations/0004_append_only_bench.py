"""The new raw tables can be added to, never changed or erased; two older ones get their guards back.

A table whose columns or limits changed was made anew by 0003 and lost its triggers: they are set again here.
"""

from django.db import migrations

APPEND_ONLY = [
    "stockmove",
    "reading",
    "instrument",
    "instrumentcheck",
    "bucketweighing",
    "blend",
    "taken",
    "stepdone",
    "sheet",
    "verdictgiven",
]
RAW_OF_READING = ["test", "test_version", "batch_id", "lot_id", "instrument_id", "typed", "age_s", "at", "entry"]


def triggers():
    for table in APPEND_ONLY:
        yield f"DROP TRIGGER IF EXISTS keep_{table}"
        yield f"DROP TRIGGER IF EXISTS fix_{table}"
        yield (
            f"CREATE TRIGGER keep_{table} BEFORE DELETE ON records_{table} "
            f"BEGIN SELECT RAISE(ABORT, 'rows of {table} are never erased'); END"
        )
        columns = f"OF {', '.join(RAW_OF_READING)} " if table == "reading" else ""
        yield (
            f"CREATE TRIGGER fix_{table} BEFORE UPDATE {columns}ON records_{table} "
            f"BEGIN SELECT RAISE(ABORT, 'rows of {table} are never changed'); END"
        )


class Migration(migrations.Migration):
    dependencies = [("records", "0003_whole_bench")]
    operations = [migrations.RunSQL(sql=on, reverse_sql=migrations.RunSQL.noop) for on in triggers()]
