"""What other programs get: passport descriptors, pedigrees as a table and as a graph."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from datetime import date
from typing import Any

import networkx as nx
import pytest
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from breeding.outgoing import passport_entries, pedigree_lines, the_stock
from breeding.passport import (
    DESCRIPTORS,
    Entry,
    Line,
    passport,
    pedigree_csv,
    pedigree_graphml,
)
from garden.models import Plant
from garden.outward import read
from tests.cast import Cast

LINES = [
    Line("P1", "Tin Whistle", kind="cultivar", year=1990, ploidy=4),
    Line("P2", "Paper Lantern", "P1", "a stray bee"),
    Line("P3", "24-001A", "P2", "P2"),
]


def told(entry: Entry) -> dict[str, str]:
    return dict(zip(DESCRIPTORS, passport(entry), strict=True))


def test_passport__of_a_named_plant() -> None:
    """MCPD V2.1: SAMPSTAT 500 for an improved cultivar; a date as YYYYMMDD."""
    lantern = Entry("P7K", "Paper Lantern", "cultivar", "88-04B", "M. Q.; sons", date(1988, 9, 3),
                    "Tin Whistle/Moss Ledger", True,
                    {"class": "TB", "height cm": "91"})  # fmt: skip
    line = told(lantern)
    assert line == dict.fromkeys(DESCRIPTORS, "") | {
        "ACCENUMB": "P7K", "GENUS": "Iris", "CROPNAME": "bearded iris",
        "ACCENAME": "Paper Lantern", "ACQDATE": "19880903", "BREDNAME": "M. Q., sons",
        "SAMPSTAT": "500", "ANCEST": "Tin Whistle/Moss Ledger", "OTHERNUMB": "88-04B",
        "STORAGE": "20", "REMARKS": "class:TB;height cm:91",
    }  # fmt: skip


def test_passport__of_a_species_and_of_a_line() -> None:
    assert told(Entry("P1", "Iris pallida", "species"))["SPECIES"] == "pallida"
    assert told(Entry("P1", "Iris pallida", "species"))["SAMPSTAT"] == ""
    assert told(Entry("P1", "24-001A", "seedling"))["SAMPSTAT"] == "410"
    assert told(Entry("P1", "24-001A", "seedling", "24-001A"))["OTHERNUMB"] == ""


def test_pedigree_csv__has_three_columns() -> None:
    assert list(csv.reader(io.StringIO(pedigree_csv(LINES), newline=""))) == [
        ["id", "seed_parent", "pollen_parent"],
        ["Tin Whistle", "", ""],
        ["Paper Lantern", "Tin Whistle", "a stray bee"],
        ["24-001A", "Paper Lantern", "Paper Lantern"],
    ]


def test_pedigree_graphml__is_read_back() -> None:
    graph = nx.read_graphml(io.BytesIO(pedigree_graphml(LINES)))
    assert set(graph.edges(data="side")) == {
        ("P1", "P2", "seed"), ("a stray bee", "P2", "pollen"), ("P2", "P3", "both"),
    }  # fmt: skip
    assert graph.nodes["P1"] == {"name": "Tin Whistle", "kind": "cultivar", "year": 1990,
                                 "ploidy": 4}  # fmt: skip


@given(st.text(st.characters(exclude_categories=["Cs"]), min_size=1))
def test_pedigree_graphml__holds_any_name(name: str) -> None:
    lines = [Line("P1", name), Line("P2", "Paper Lantern", "P1", name)]
    assert nx.read_graphml(io.BytesIO(pedigree_graphml(lines))).number_of_edges() >= 1


@pytest.mark.django_db
def test_the_stock__its_lines_and_entries(cast: Cast, django_assert_num_queries: Any) -> None:
    with django_assert_num_queries(2):
        stock = the_stock()
        lines, entries = pedigree_lines(stock), list(passport_entries(stock))
    by_name = {line.name: line for line in lines}
    assert len(lines) == Plant.live.count()
    keys = {line.key for line in lines}
    child = next(plant for plant in stock if plant.seed_parent_id)
    assert by_name[child.label].seed in keys
    entry = {entry.name: entry for entry in entries}[child.label]
    assert child.seed_parent.label in entry.ancestry


@pytest.mark.django_db
def test_downloads__are_whole(cast: Cast, owner_client: Client, tmp_path: Any) -> None:
    for name, ending in (("out-folder", "zip"), ("out-onefile", "json")):
        answer = owner_client.get(reverse(name))
        path = tmp_path / f"book.{ending}"
        path.write_bytes(b"".join(answer.streaming_content))
        assert len(list(read(path).texts("breeding_tag"))) == len(cast.tags)
        assert f".{ending}" in answer["Content-Disposition"]
    assert json.loads((tmp_path / "book.json").read_text())["garden"] == "Garden at the Mill Race"
    with zipfile.ZipFile(tmp_path / "book.zip") as archive:
        assert "garden_plant,name" in archive.read("dictionary.csv").decode()
    assert b"Quillon Teapot" in owner_client.get(reverse("out-passport")).content
    assert b"Quillon Teapot" in owner_client.get(reverse("out-pedigree")).content
    assert owner_client.get(reverse("out-graph"))["Content-Type"] == "application/graphml+xml"
