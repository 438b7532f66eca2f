"""What nothing is known of, asking for a flower as the sheet names it, and the sum behind it."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from breeding.heredity import the_copies
from breeding.models import Locus, Tally
from breeding.pages import expectbehind, expected, expectflowers
from breeding.pages.expected import expect_line
from breeding.pages.expectwords import between, copies_words
from breeding.records import note_type
from garden.models import Garden, Plant
from garden.records import add_plant
from tests.breeding.test_pages_expecting import THIN, Acts, ask, counted, pinks, stitched
from tests.cast import IN_BLOOM, Cast, Stock
from tests.pages import links, texts, tree

__all__ = ["pinks", "stitched"]


def test_expect__leaves_out_a_guess_that_nothing_was_read_of(
    owner_client: Client, stock: Stock, pinks: tuple[Plant, Plant], act: Acts
) -> None:
    silent = {locus.symbol for locus in the_copies().silent}
    assert {"Ae", "Pl", "Is"} <= silent
    page = ask(owner_client, stock.teapot, pinks[0], wanted="Ae:deep,t:pink")
    (said,) = [text for text in texts(page, "section p") if text.startswith("Nothing is known of")]
    assert "Ae, deeper pigment" in said
    shown = " ".join(texts(page, ".expect-kinds, .expect-locus h3, .expect-selects label"))
    assert "deep" not in shown
    assert "‘pink, tangerine beard’" in texts(page, ".kin-words")[0]
    told = expect_line(Garden.get(), stock.teapot, pinks[0], patient=True)
    assert "deep" not in " ".join(name for name, _ in told["may"])
    note_type(act(), plant=stock.teapot, locus=Locus.live.get(symbol="Ae"), type="deep")
    assert "Ae" in {each.locus.symbol for each in the_copies().telling}
    after = ask(owner_client, stock.teapot, pinks[0])
    assert "Ae, deeper pigment" in texts(after, ".expect-locus h3")


def test_telling__a_count_is_enough_and_a_count_of_none_is_not(cast: Cast, act: Acts) -> None:
    counted(act, cast, "Is", clear=3, paled=9)
    assert "Is" in {each.locus.symbol for each in the_copies().telling}
    assert not {each.locus.symbol for each in the_copies().telling} & {"Ae", "Pl"}


def test_expect__says_so_where_nothing_is_known_at_all(
    owner_client: Client, garden_row: Garden, act: Acts
) -> None:
    one = add_plant(act(), name="Blank Sheet", ploidy=4, iris_class="TB").thing
    page = ask(owner_client, one, one)
    assert any(
        "Of no locus is anything known here yet" in text for text in texts(page, "section p")
    )


def test_expect__asks_by_the_flower_that_the_sheet_names(
    owner_client: Client, stock: Stock, pinks: tuple[Plant, Plant]
) -> None:
    found = expected.expected(the_copies(), stock.ledger.pk, pinks[0].pk)
    there = expectflowers.flowers(found.kinds)
    for flower in (there[0], max(there, key=lambda each: len(each.outcomes))):
        page = ask(owner_client, stock.ledger, pinks[0], flower=flower.look.words)
        (said,) = texts(page, ".expect-answers .kin-words")
        assert f"‘{flower.look.inline}’" in said
        (chosen,) = tree(page).cssselect("#id_flower option[selected]")
        assert chosen.get("value") == flower.look.words
        assert flower.percent.replace(THIN, " ") in texts(page, ".expect-chance p")[0]
    both = ask(owner_client, stock.ledger, pinks[0], flower=there[0].look.words, wanted="t:pink")
    assert texts(both, ".kin-words")
    assert texts(ask(owner_client, stock.ledger, pinks[0], flower="blue rose"), ".kin-words") == []


def test_flowers__hold_all_chances_and_their_mixture_has_their_mean(
    cast: Cast, stitched: Plant
) -> None:
    found = expected.expected(the_copies(), cast.teapot.pk, cast.ledger.pk)
    there = expectflowers.flowers(found.kinds)
    assert sum(each.chance for each in there) == pytest.approx(1)
    assert max(len(each.outcomes) for each in there) > 1
    for each in there:
        mixture = expectflowers.chance_of(found, each.outcomes)
        assert mixture.mean == pytest.approx(each.chance, rel=1e-9)
        assert mixture.possible > 0


def test_expect__says_what_a_wanted_type_includes(
    owner_client: Client, stock: Stock, pinks: tuple[Plant, Plant]
) -> None:
    page = ask(owner_client, stock.ledger, pinks[0], wanted="t:pink")
    names = texts(page, ".expect-includes a")
    assert len(names) > 1
    assert any("apricot" in name.lower() for name in names)
    assert "flower=" in links(page, ".expect-includes a")[0]


def test_expect__shows_every_factor_and_the_whole_make_up(
    owner_client: Client, stock: Stock, stitched: Plant, pinks: tuple[Plant, Plant]
) -> None:
    page = ask(owner_client, stock.teapot, pinks[0], wanted="Pl:plicata,t:pink")
    factors = texts(page, ".expect-factors > li:not(.expect-product) > b:first-child")
    assert factors == ["V", "I", "Pl", "t"]
    found = expected.expected(the_copies(), stock.teapot.pk, pinks[0].pk)
    told = expectbehind.the_sum(found, [{"Pl": "plicata", "t": "pink"}])
    (way,) = told["sum_ways"]
    whole = 1.0
    for each in way["factors"]:
        whole *= each["chance"]
    wanted = found.told.chance_of({"Pl": "plicata", "t": "pink"})
    assert whole == pytest.approx(wanted.chance)
    for table in told["sum_tables"]:
        pairs = [(row["seed"], row["pollen"]) for row in table["rows"]]
        assert len(set(pairs)) == len(pairs)
        assert all(len(each.replace("/", " ").split()) == 4 for pair in pairs for each in pair)


def test_expect__says_how_many_to_line_out(
    owner_client: Client, cast: Cast, pinks: tuple[Plant, Plant], act: Acts
) -> None:
    page = ask(owner_client, *pinks, wanted="t:pink", least=3)
    assert any(text.startswith("Line out more than that") for text in texts(page, "#asked p"))
    counted(act, cast, "Y", yellow=3, white=3)
    Tally.objects.update(day=IN_BLOOM.replace(year=IN_BLOOM.year - 1))
    page = ask(owner_client, *pinks, wanted="t:pink", least=3)
    assert texts(page, "#asked .tally b")[1] == "about 6"
    assert "6 of 12 in 1 row" in " ".join(texts(page, "#asked p"))


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ((0.5, 0.5, 0.5), "if the hypotheses hold"),
        ((1, 1, 1), "if the hypotheses hold"),
        ((0, 0, 0), "if the hypotheses hold"),
        ((0.3, 0, 1), "0% to over 99%"),
        ((0.001, 0, 0), "nine times in ten none"),
        ((0.9995, 1, 1), "nine times in ten all"),
    ],
)
def test_between__never_says_a_certainty_without_what_it_rests_on(
    told: tuple[float, float, float], said: str
) -> None:
    assert between(*told).replace(THIN, "") == said


def test_copies__that_are_certain_are_so_by_the_hypothesis() -> None:
    assert copies_words((1.0, 0, 0, 0, 0), "I") == "no copies of I, if the hypothesis holds"


def test_came__shows_the_type_that_splits_and_the_whole_make_up(
    owner_client: Client, cast: Cast, act: Acts, stitched: Plant
) -> None:
    counted(act, cast, "Pl", plicata=9, glaciata=3)
    page = owner_client.get(reverse("came", args=[cast.cross.code]), {"worked": 1, "locus": "Pl"})
    rows = texts(page, "[aria-label='Likely make-up of the parents'] tbody tr")
    assert rows
    ratios = texts(page, "[aria-label='Likely make-up of the parents'] td.keep")
    assert len(set(ratios)) > 1
    makes = texts(page, "[aria-label='Likely make-up of the parents'] td:first-child")
    assert all(len(make.replace("/", " ").split()) == 4 for make in makes)
