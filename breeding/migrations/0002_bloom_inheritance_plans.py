import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("breeding", "0001_the_thread"),
        ("garden", "0003_photos"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="BreedingVersion",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("copies", models.PositiveBigIntegerField(default=1)),
                ("bloom", models.PositiveBigIntegerField(default=1)),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("pk", 1)), name="breeding_version_only_one"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Goal",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("struck", models.BooleanField(default=False)),
                ("name", models.CharField(max_length=60)),
                ("words", models.CharField(blank=True, max_length=1000)),
                ("wanted", models.JSONField(blank=True, default=list)),
                ("traits", models.JSONField(blank=True, default=list)),
                ("weights", models.JSONField(blank=True, default=dict)),
                ("pair_limit", models.FloatField(default=0.125)),
                ("set_limit", models.FloatField(blank=True, null=True)),
                ("least_chance", models.FloatField(default=0.005)),
                ("crosses", models.PositiveSmallIntegerField(default=12)),
                ("iris_class", models.CharField(blank=True, max_length=8)),
                ("closed_on", models.DateField(blank=True, null=True)),
                ("closed_reason", models.CharField(blank=True, max_length=200)),
            ],
            options={
                "ordering": ["closed_on", "name"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("struck", False)),
                        fields=("name",),
                        name="goal_name_once",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("name", ""), _negated=True), name="goal_has_name"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("pair_limit__range", (0, 1)),
                            models.Q(
                                ("set_limit", None), ("set_limit__range", (0, 1)), _connector="OR"
                            ),
                        ),
                        name="goal_limits_possible",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("crosses__range", (1, 200))),
                        name="goal_crosses_possible",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("least_chance__range", (0, 1))),
                        name="goal_least_chance_possible",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Locus",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("struck", models.BooleanField(default=False)),
                ("symbol", models.CharField(max_length=12)),
                ("name", models.CharField(max_length=80)),
                ("order", models.PositiveSmallIntegerField(default=100)),
                ("alleles", models.JSONField()),
                ("counted", models.CharField(max_length=12)),
                ("types", models.JSONField()),
                ("source", models.CharField(max_length=600)),
                (
                    "confidence",
                    models.CharField(
                        choices=[
                            ("supposed", "Supposed"),
                            ("supported", "Supported by crosses"),
                            ("well supported", "Well supported"),
                        ],
                        default="supposed",
                        max_length=16,
                    ),
                ),
                ("note", models.CharField(blank=True, max_length=1000)),
                ("used", models.BooleanField(default=True)),
            ],
            options={
                "verbose_name_plural": "loci",
                "ordering": ["order", "symbol"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("struck", False)),
                        fields=("symbol",),
                        name="locus_symbol_once",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("symbol", ""), _negated=True), name="locus_has_symbol"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("source", ""), _negated=True),
                        name="locus_names_its_source",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Tally",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("struck", models.BooleanField(default=False)),
                ("day", models.DateField()),
                ("note", models.CharField(blank=True, max_length=1000)),
                (
                    "cross",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="tallies",
                        to="breeding.cross",
                    ),
                ),
                (
                    "locus",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="tallies",
                        to="breeding.locus",
                    ),
                ),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="tallies",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "row",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="tallies",
                        to="breeding.row",
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "tallies",
                "ordering": ["cross", "locus", "row", "day", "id"],
            },
        ),
        migrations.CreateModel(
            name="Bloom",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("struck", models.BooleanField(default=False)),
                ("season", models.PositiveSmallIntegerField()),
                ("first_on", models.DateField(blank=True, null=True)),
                ("peak_on", models.DateField(blank=True, null=True)),
                ("last_on", models.DateField(blank=True, null=True)),
                (
                    "plant",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="blooms",
                        to="garden.plant",
                    ),
                ),
            ],
            options={
                "verbose_name": "bloom",
                "ordering": ["-season", "plant"],
                "indexes": [models.Index(fields=["season", "plant"], name="bloom_of_season")],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("struck", False)),
                        fields=("plant", "season"),
                        name="bloom_season_once",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("peak_on", None),
                                ("first_on", None),
                                ("peak_on__gte", models.F("first_on")),
                                _connector="OR",
                            ),
                            models.Q(
                                ("last_on", None),
                                ("first_on", None),
                                ("last_on__gte", models.F("first_on")),
                                _connector="OR",
                            ),
                            models.Q(
                                ("last_on", None),
                                ("peak_on", None),
                                ("last_on__gte", models.F("peak_on")),
                                _connector="OR",
                            ),
                        ),
                        name="bloom_stages_in_order",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("first_on__isnull", False),
                            ("peak_on__isnull", False),
                            ("last_on__isnull", False),
                            _connector="OR",
                        ),
                        name="bloom_noted",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="PlannedCross",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("struck", models.BooleanField(default=False)),
                ("season", models.PositiveSmallIntegerField()),
                ("flowers", models.PositiveSmallIntegerField(default=3)),
                ("note", models.CharField(blank=True, max_length=400)),
                ("dropped_on", models.DateField(blank=True, null=True)),
                ("dropped_reason", models.CharField(blank=True, max_length=200)),
                (
                    "goal",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="planned_crosses",
                        to="breeding.goal",
                    ),
                ),
                (
                    "pollen_parent",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="planned_as_pollen",
                        to="garden.plant",
                    ),
                ),
                (
                    "seed_parent",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="planned_as_seed",
                        to="garden.plant",
                    ),
                ),
            ],
            options={
                "verbose_name": "planned cross",
                "verbose_name_plural": "planned crosses",
                "ordering": ["season", "id"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("dropped_on", None), ("struck", False)),
                        fields=("season", "seed_parent", "pollen_parent"),
                        name="planned_cross_once",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("flowers__range", (1, 500))),
                        name="planned_flowers_possible",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("dropped_on", None), ("dropped_reason", "")),
                            models.Q(
                                ("dropped_on__isnull", False),
                                models.Q(("dropped_reason", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="planned_dropped_with_reason",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Pollen",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("struck", models.BooleanField(default=False)),
                ("taken_on", models.DateField()),
                ("place", models.CharField(max_length=80)),
                ("use_by", models.DateField(blank=True, null=True)),
                ("note", models.CharField(blank=True, max_length=400)),
                ("ended_on", models.DateField(blank=True, null=True)),
                ("ended_reason", models.CharField(blank=True, max_length=200)),
                (
                    "plant",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="pollen",
                        to="garden.plant",
                    ),
                ),
            ],
            options={
                "verbose_name": "pollen",
                "verbose_name_plural": "pollen",
                "ordering": ["plant", "taken_on"],
                "indexes": [
                    models.Index(
                        condition=models.Q(("ended_on", None), ("struck", False)),
                        fields=["plant", "taken_on"],
                        name="pollen_in_store",
                    )
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("use_by", None),
                                ("use_by__gte", models.F("taken_on")),
                                _connector="OR",
                            ),
                            models.Q(
                                ("ended_on", None),
                                ("ended_on__gte", models.F("taken_on")),
                                _connector="OR",
                            ),
                        ),
                        name="pollen_dates_in_order",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("ended_on", None), ("ended_reason", "")),
                            models.Q(
                                ("ended_on__isnull", False),
                                models.Q(("ended_reason", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="pollen_ended_with_reason",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Reading",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("struck", models.BooleanField(default=False)),
                ("type", models.CharField(max_length=30)),
                ("day", models.DateField()),
                (
                    "locus",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="readings",
                        to="breeding.locus",
                    ),
                ),
                (
                    "plant",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="readings",
                        to="garden.plant",
                    ),
                ),
            ],
            options={
                "verbose_name": "reading",
                "ordering": ["plant", "locus"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("struck", False)),
                        fields=("plant", "locus"),
                        name="reading_once",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="TypeCount",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("struck", models.BooleanField(default=False)),
                ("type", models.CharField(max_length=30)),
                ("count", models.PositiveIntegerField()),
                (
                    "tally",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="counts",
                        to="breeding.tally",
                    ),
                ),
            ],
            options={
                "verbose_name": "count of a type",
                "ordering": ["tally", "id"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("struck", False)),
                        fields=("tally", "type"),
                        name="type_counted_once",
                    )
                ],
            },
        ),
    ]
