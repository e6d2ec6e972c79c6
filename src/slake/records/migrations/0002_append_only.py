"""Readings, weighings and their kin can be added, never changed or erased: held by the file itself."""

from django.db import migrations

APPEND_ONLY = ["reading", "weighing", "outcome", "strike", "stockmove", "action", "detail", "proposalgiven"]
RAW_OF_READING = ["test", "test_version", "batch_id", "lot_id", "typed", "age_s", "at", "entry"]


def triggers():
    for table in APPEND_ONLY:
        yield (
            f"CREATE TRIGGER keep_{table} BEFORE DELETE ON records_{table} "
            f"BEGIN SELECT RAISE(ABORT, 'rows of {table} are never erased'); END",
            f"DROP TRIGGER keep_{table}",
        )
        columns = f"OF {', '.join(RAW_OF_READING)} " if table == "reading" else ""
        yield (
            f"CREATE TRIGGER fix_{table} BEFORE UPDATE {columns}ON records_{table} "
            f"BEGIN SELECT RAISE(ABORT, 'rows of {table} are never changed'); END",
            f"DROP TRIGGER fix_{table}",
        )


class Migration(migrations.Migration):
    dependencies = [("records", "0001_first")]
    operations = [migrations.RunSQL(sql=on, reverse_sql=off) for on, off in triggers()]
