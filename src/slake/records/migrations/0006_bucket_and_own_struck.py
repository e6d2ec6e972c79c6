"""A line through one weighing of a bucket, and through a reading a lab declared; neither is ever changed or erased."""

import django.db.models.deletion
from django.db import migrations, models

TABLES = ["bucketstrike", "ownteststrike"]
TRIGGERS = [
    (
        f"CREATE TRIGGER {name}_{table} BEFORE {what} ON records_{table} "
        f"BEGIN SELECT RAISE(ABORT, 'rows of {table} are never {done}'); END",
        f"DROP TRIGGER {name}_{table}",
    )
    for table in TABLES
    for name, what, done in [("keep", "DELETE", "erased"), ("fix", "UPDATE", "changed")]
]


def strike(name, of, to, constraint):
    def link(target, kind=models.ForeignKey, **more):
        return kind(on_delete=django.db.models.deletion.PROTECT, to=f"records.{target}", **more)

    return migrations.CreateModel(
        name=name,
        fields=[
            ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
            ("reason", models.CharField(max_length=2000)),
            ("at", models.DateTimeField()),
            ("entry", models.CharField(max_length=64, unique=True)),
            ("person", link("person", null=True)),
            (of, link(to, models.OneToOneField, related_name="strike")),
        ],
        options={
            "ordering": ["id"],
            "constraints": [models.CheckConstraint(condition=models.Q(("reason", ""), _negated=True), name=constraint)],
        },
    )


class Migration(migrations.Migration):
    dependencies = [("records", "0005_batch_struck")]
    operations = [
        strike("BucketStrike", "weighing", "bucketweighing", "bucket_strike_has_reason"),
        strike("OwnTestStrike", "own", "owntest", "own_test_strike_has_reason"),
        *(migrations.RunSQL(sql=on, reverse_sql=off) for on, off in TRIGGERS),
    ]
