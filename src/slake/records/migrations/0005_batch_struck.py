"""A batch may be struck as a whole (append-only), and keeps whether its day was told or is that of the typing."""

import django.db.models.deletion
from django.db import migrations, models

DAY_NOT_TOLD = (
    "UPDATE records_batch SET since_told = 0 WHERE from_notebook = 1 AND since IN "
    "(SELECT at FROM records_action WHERE name IN ('take in notebook', 'take in sheet'))"
)
TRIGGERS = [
    (
        "CREATE TRIGGER keep_batchstrike BEFORE DELETE ON records_batchstrike "
        "BEGIN SELECT RAISE(ABORT, 'rows of batchstrike are never erased'); END",
        "DROP TRIGGER keep_batchstrike",
    ),
    (
        "CREATE TRIGGER fix_batchstrike BEFORE UPDATE ON records_batchstrike "
        "BEGIN SELECT RAISE(ABORT, 'rows of batchstrike are never changed'); END",
        "DROP TRIGGER fix_batchstrike",
    ),
]


class Migration(migrations.Migration):

    dependencies = [
        ('records', '0004_append_only_bench'),
    ]

    operations = [
        migrations.CreateModel(
            name='BatchStrike',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('undone', models.BooleanField(default=False)),
                ('reason', models.CharField(max_length=2000)),
                ('at', models.DateTimeField()),
                ('entry', models.CharField(max_length=64, unique=True)),
                ('batch', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='strikes', to='records.batch')),
                ('person', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, to='records.person')),
            ],
            options={
                'ordering': ['id'],
                'constraints': [models.CheckConstraint(condition=models.Q(('reason', ''), _negated=True), name='batch_strike_has_reason')],
            },
        ),
        migrations.AddField(
            model_name='batch',
            name='since_told',
            field=models.BooleanField(default=True, help_text='false: its day is that of the typing'),
        ),
        migrations.RunSQL(sql=DAY_NOT_TOLD, reverse_sql=migrations.RunSQL.noop),
        *(migrations.RunSQL(sql=on, reverse_sql=off) for on, off in TRIGGERS),
    ]
