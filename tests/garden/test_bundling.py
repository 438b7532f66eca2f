"""Styles and scripts that are joined: all parts, in their order, their addresses still right."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.test import override_settings

from garden.bundling import (
    BUNDLES,
    BundlingStorage,
    addresses_of,
    parts_of,
    without_comments,
)

STATIC = Path(__file__).resolve().parents[2] / "static"


@pytest.fixture
def gathered(tmp_path: Path, settings: Any) -> Path:
    """A folder in which the static files were gathered as the start does it."""
    settings.STATIC_ROOT = tmp_path
    storage = {"BACKEND": "garden.bundling.BundlingStorage"}
    with override_settings(STORAGES=settings.STORAGES | {"staticfiles": storage}):
        call_command("collectstatic", interactive=False, verbosity=0)
        # Once more, as after an upgrade.
        call_command("collectstatic", interactive=False, verbosity=0)
    return tmp_path


def test_bundles__are_joined_compressed_and_known_by_their_digest(gathered: Path) -> None:
    known = BundlingStorage(location=gathered, base_url="/static/").hashed_files
    for bundle in BUNDLES:
        body = (gathered / known[bundle]).read_text(encoding="utf-8")
        at = [body.index(first_rule(gathered / name)) for name in parts_of(bundle)]
        assert at == sorted(at)
        assert (gathered / f"{known[bundle]}.gz").exists()


def first_rule(path: Path) -> str:
    """What a file begins with and no other does: its first comment aside, some lines."""
    text = without_comments(path.read_text(encoding="utf-8"), path.suffix).strip()
    return text.partition("url(")[0][:120]


def test_comments__are_left_out_and_nothing_else() -> None:
    script = 'const a = "http://b"; // said\n  // gone\n/* stays */ f(a);'
    assert without_comments(script, ".js") == 'const a = "http://b"; // said\n/* stays */ f(a);'
    assert without_comments("a { b: c } /* gone\n too */ d {}", ".css") == "a { b: c }  d {}"


def test_bundles__addresses_within_them_lead_to_files(gathered: Path) -> None:
    known = BundlingStorage(location=gathered, base_url="/static/").hashed_files
    style = (gathered / known["css/together-page.css"]).read_text(encoding="utf-8")
    found = [part.partition('"')[0] for part in style.split('url("')[1:]]
    assert len(found) > 5
    for address in found:
        assert (gathered / "css" / address).resolve().exists(), address


def test_parts__are_there_and_begin_unlike(settings: Any) -> None:
    for bundle in BUNDLES:
        begins = [first_rule(STATIC / name) for name in parts_of(bundle)]
        assert len(set(begins)) == len(begins)


def test_addresses__are_those_of_the_parts_where_nothing_was_gathered() -> None:
    assert addresses_of("js/together-page.js")[0].endswith("js/outbox.js")
    assert len(addresses_of("js/together-bed.js")) == len(BUNDLES["js/together-bed.js"])
