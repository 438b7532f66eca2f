"""The journal is read in the order of what happened: phones may send later."""

from __future__ import annotations

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("garden", "0003_photos"),
    ]

    operations = [
        migrations.AddIndex(
            model_name="journalline",
            index=models.Index(fields=["-happened_at", "-id"], name="journal_happened"),
        ),
        migrations.AddIndex(
            model_name="journalline",
            index=models.Index(fields=["person", "-happened_at", "-id"], name="journal_of_person"),
        ),
    ]
