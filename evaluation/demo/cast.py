"""Who takes part in the story: people, beds and plants of the invented garden. Free of Django."""

from __future__ import annotations

import csv
import io
import json
import random
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from breeding.inheritance.loci import Locus
from evaluation.demo.genes import Genes, read_genes, read_loci
from evaluation.demo.steps import Ref

COLOUR_FIELDS = ("pattern", "standards", "falls", "styles", "beard", "haft", "rim")
# Hybrids between groups of different chromosome number set seed only now and then.
HALF_STERILE = {"IB": 0.3, "MDB": 0.7}


@dataclass
class Parent:
    """A plant as a parent: what it hands on and how readily it sets and sires pods (1: usual)."""

    key: str
    iris_class: str
    season: str
    height_cm: int
    ploidy: int | None
    colours: dict[str, str]
    line: str
    used_from: int
    year: int
    sets: float = 1.0
    sires: float = 1.0

    @property
    def ref(self) -> Ref:
        """The plant itself; of a seedling chosen in the story, the plant that it became."""
        return Ref(self.key, "plant" if self.key.startswith("seedling:") else "")


@dataclass
class Cast:
    """Everybody and everything that the story begins with.

    `genes` are the true copies of the plants in `rows`, by name or number, at the `loci`.
    """

    garden: dict[str, Any]
    rows: list[dict[str, str]]
    loci: tuple[Locus, ...] = ()
    genes: dict[str, Genes] = field(default_factory=dict)

    @classmethod
    def read(cls, folder: Path) -> Cast:
        """Read garden.json, plants.csv and copies.json of `folder`, and the loci beside it."""
        garden = json.loads((folder / "garden.json").read_text(encoding="utf-8"))
        with (folder / "plants.csv").open(encoding="utf-8", newline="") as file:
            rows = list(csv.DictReader(file))
        loci = read_loci(folder.parent / "loci")
        return cls(garden, rows, loci, read_genes(folder / "copies.json"))

    @property
    def owner(self) -> str:
        return str(next(p["name"] for p in self.garden["people"] if p["role"] == "owner"))

    @property
    def helpers(self) -> list[str]:
        return [p["name"] for p in self.garden["people"] if p["role"] == "helper"]

    def beds(self, use: str) -> list[dict[str, Any]]:
        """The beds of one use: 'field' for rows of seedlings, 'trial' for selected ones."""
        return [bed for bed in self.garden["beds"] if bed.get("use") == use]

    def stock(self, first_season: int) -> list[dict[str, str]]:
        """The plants of the list without own seedlings of the seasons that the story tells."""
        return [
            row for row in self.rows
            if row["kind"] != "seedling" or int(row["year"]) < first_season
        ]  # fmt: skip

    def parents(self, first_season: int) -> dict[str, Parent]:
        """The same plants as parents, by their keys."""
        lines = {name: line for line, names in self.garden["lines"].items() for name in names}
        fertility = self.garden["fertility"]
        parents = (_parent(row, lines, fertility) for row in self.stock(first_season))
        return {parent.key: parent for parent in parents}

    def list_text(self, years: range, first_season: int) -> str:
        """The plant list of these years as text; '' when there is none."""
        rows = [row for row in self.stock(first_season) if int(row["year"] or 0) in years]
        if not rows:
            return ""
        file = io.StringIO(newline="")
        writer = csv.DictWriter(file, fieldnames=list(self.rows[0]))
        writer.writeheader()
        writer.writerows(rows)
        return file.getvalue()


def _parent(row: dict[str, str], lines: dict[str, str], fertility: dict[str, Any]) -> Parent:
    label = row["name"] or row["number"]
    year = int(row["year"] or 0)
    dice = random.Random(label)
    known = fertility.get(label, {})
    usual = HALF_STERILE.get(row["class"], 1.0)
    return Parent(
        key=f"plant:{label}",
        iris_class=row["class"],
        season=row["season"],
        height_cm=int(row["height_cm"]),
        ploidy=int(row["ploidy"]),
        colours={name: row[name] for name in COLOUR_FIELDS if row[name]},
        line=lines.get(label, ""),
        # A seedling's number is the year of its cross; it cannot be used before it has bloomed.
        used_from=year + (3 if row["kind"] == "seedling" else 0),
        year=year,
        sets=usual * known.get("sets", dice.uniform(0.85, 1.2)),
        sires=usual * known.get("sires", dice.uniform(0.85, 1.15)),
    )
