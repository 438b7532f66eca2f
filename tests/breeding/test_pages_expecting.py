"""Pages of what a cross may give, of what came, and of counting seedlings by type."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from breeding.heredity import the_copies
from breeding.models import Locus, Tally, TypeCount
from breeding.pages import expected, expectwork
from breeding.pages.expected import CannotExpect, expect_line
from breeding.pages.expectwords import odds, percent
from breeding.records import add_goal, change_locus, count_types, note_type
from garden.models import Garden, Plant
from garden.records import add_plant
from garden.verbs import Act, Refused
from tests.cast import IN_BLOOM, Cast, Stock
from tests.pages import links, post, texts, tree

Acts = Callable[..., Act]
THIN = "\u202f"
NONSENSE = ["0", "x", "-1", "9" * 30, "٣", "\x00", "t:pink,t", "🌷", "12" * 400, "unknown"]


@pytest.fixture
def pinks(stock: Stock, act: Acts) -> tuple[Plant, Plant]:
    """Two plants that are pink, so that all of their seedlings are."""
    looks = {"standards": "pink", "falls": "pink", "beard": "tangerine"}
    tall = {"iris_class": "TB", "ploidy": 4}
    one = add_plant(act(), name="Rose Ledger", **looks, **tall).thing
    return one, add_plant(act(), name="Shrimp Semaphore", **looks, **tall).thing


@pytest.fixture
def stitched(stock: Stock, act: Acts) -> Plant:
    """A plant whose plicata was noted, so that something is known of that locus here."""
    plant = add_plant(act(), name="Hem Stitch", iris_class="TB", ploidy=4).thing
    note_type(act(), plant=plant, locus=Locus.live.get(symbol="Pl"), type="plicata")
    return plant


def ask(client: Client, seed: Plant, pollen: Plant | str, **more: object) -> object:
    key = pollen if isinstance(pollen, str) else pollen.pk
    query = {"seed": seed.pk, "pollen": key, "worked": 1, **more}
    return client.get(reverse("expect"), query)


def counted(act: Acts, cast: Cast, symbol: str, **counts: int) -> Tally:
    locus = Locus.live.get(symbol=symbol)
    keys = {name.replace("_", "-"): count for name, count in counts.items()}
    told = count_types(act(), cross=cast.cross, row=cast.row, locus=locus, counts=keys)
    return told.thing


def test_expect__draws_four_dozen_seedlings_and_names_each_kind(
    owner_client: Client, stock: Stock
) -> None:
    page = ask(owner_client, stock.teapot, stock.ledger)
    assert len(tree(page).cssselect(".expect-sheet svg")) == 48
    numbers = [int(text) for text in texts(page, ".expect-key .num")]
    assert sum(numbers) == 48
    (label,) = [each.get("aria-label") for each in tree(page).cssselect(".expect-sheet")]
    assert label.startswith("48 seedlings as they are expected: ")
    kinds = tree(page).cssselect(".expect-kinds > li")
    assert kinds
    assert all(each.cssselect(".expect-bar .span") for each in kinds)
    spans = texts(page, ".expect-kinds .expect-span")
    assert all(" to " in text or "if the hyp" in text or "nine times" in text for text in spans)
    assert any(" to " in text for text in spans)
    ranges = texts(page, ".expect-key .expect-range")
    assert len(ranges) == len(numbers)
    assert any(" to " in text for text in ranges)


def test_expect__says_what_parents_carry_and_on_what_it_rests(
    owner_client: Client, stock: Stock
) -> None:
    page = ask(owner_client, stock.teapot, stock.guest)
    cards = tree(page).cssselect(".expect-locus")
    assert len(cards) == len(the_copies().telling)
    said = texts(page, ".expect-carry .small")
    assert any("Seen: violet pigment. Rests on its own flower" in text for text in said)
    assert any("nothing but the garden’s usual frequency" in text for text in said)
    assert all("opies" in text or "opy" in text for text in texts(page, ".expect-words"))
    assert len(texts(page, ".expect-copies text")) == len(cards) * 2 * 5
    folded = texts(page, ".expect-locus summary")
    assert set(folded) <= {"Hypothesis, supported", "Hypothesis, supposed"}
    assert any("Source: " in text for text in texts(page, ".expect-locus details p"))


def test_expect__of_two_pinks_gives_pink_for_certain(
    owner_client: Client, pinks: tuple[Plant, Plant]
) -> None:
    page = ask(owner_client, *pinks, wanted="t:pink")
    (said,) = texts(page, ".expect-answers .kin-words")
    assert said.startswith("Yes: ‘pink, tangerine beard’ in all of the seedlings")
    assert said.endswith(", if the hypothesis holds.")
    assert texts(page, "#grow-of ~ .tallies b") == ["1"]
    assert not any("100" in text for text in texts(page, ".expect-kinds, .expect-by, .expect-key"))
    (bar,) = tree(page).cssselect(".expect-chance .mark")
    assert float(bar.get("x")) > 99


def test_expect__answers_perhaps_with_both_numbers(
    owner_client: Client, stock: Stock, pinks: tuple[Plant, Plant]
) -> None:
    page = ask(owner_client, stock.ledger, pinks[0], wanted="t:pink", least=3)
    (said,) = texts(page, ".expect-answers .kin-words")
    assert said.startswith("Perhaps: with a probability of")
    overall, given = texts(page, "#grow-of ~ .tallies b")
    assert given.isdigit()
    assert overall == "–" or int(overall) >= int(given)
    assert "at least 3" in texts(page, "#grow-of ~ p")[0]
    rows = texts(page, ".expect-answers .expect-behind tbody tr")
    assert rows
    titles = texts(page, ".expect-rests li > span:first-child")
    assert titles[0] == "Pods set of flowers worked"
    steps = texts(page, ".expect-steps li")
    assert "flower" in steps[0]
    assert "wanted" in steps[-1]


def test_expect__takes_several_types_and_a_goal(
    owner_client: Client, stock: Stock, stitched: Plant, act: Acts
) -> None:
    add_goal(act(), name="Pink plicatas", wanted=[["t", "pink"], ["Pl", "plicata"]])
    one = ask(owner_client, stock.teapot, stock.ledger, wanted="t:pink,Pl:plicata")
    (chip,) = links(one, ".expect-ask .chip")
    assert "wanted=t%3Apink%2CPl%3Aplicata" in chip
    both = ask(owner_client, stock.teapot, stock.ledger, wanted=["Pl:plicata", "", "t:pink"])
    for page in (one, both):
        assert "‘plicata’ and ‘pink, tangerine beard’" in texts(page, ".kin-words")[0]
        chosen = [each.get("value") for each in tree(page).cssselect("option[selected]")]
        assert chosen == ["Pl:plicata", "t:pink"]


def test_expect__knows_what_hides_what(owner_client: Client, stock: Stock, stitched: Plant) -> None:
    page = ask(owner_client, stock.teapot, stock.ledger, wanted="V:none,Pl:plicata")
    assert texts(page, ".kin-words") == [
        "No flower shows both: where there is ‘no violet pigment’, ‘plicata’ cannot be seen."
    ]
    assert texts(page, "#grow-of") == []


def test_expect__names_the_plants_that_would_tell_most(
    owner_client: Client, stock: Stock, pinks: tuple[Plant, Plant]
) -> None:
    page = ask(owner_client, stock.ledger, stock.teapot, wanted="t:pink", testers="seed")
    best = texts(page, ".expect-testers .name")
    assert 1 <= len(best) <= 3
    assert best[0] in ("Rose Ledger", "Shrimp Semaphore")
    assert texts(ask(owner_client, *pinks, wanted="t:pink", testers="pollen"), "#testers > p")[
        0
    ].startswith("No cross with a growing plant would tell")


def test_expect__of_a_bee_rests_on_the_gardens_frequency(
    owner_client: Client, stock: Stock
) -> None:
    page = ask(owner_client, stock.teapot, "unknown")
    assert texts(page, ".kin-mate .name") == ["Quillon Teapot", "Not known"]
    assert any("this pollen is anybody’s" in text for text in texts(page, ".expect-carry .small"))
    assert f"?seed={stock.teapot.pk}&pollen=unknown" in links(page, ".act a")[0]


def test_expect__of_selfing_says_so(owner_client: Client, stock: Stock) -> None:
    page = ask(owner_client, stock.teapot, stock.teapot)
    assert "A selfing: pollen and egg come from one plant." in texts(page, "p.soft")


def test_expect__refuses_sets_that_do_not_fit(
    owner_client: Client, stock: Stock, act: Acts
) -> None:
    odd = add_plant(act(), name="Three Legs", ploidy=3, iris_class="IB").thing
    page = ask(owner_client, stock.oboe, odd)
    assert any("Three Legs has 3 sets of chromosomes" in text for text in texts(page, "section p"))
    assert links(page, ".act a") == []
    with pytest.raises(CannotExpect, match="odd number"):
        expected.expected(the_copies(), stock.oboe.pk, odd.pk)


def test_expect__of_four_and_two_sets_gives_three(
    owner_client: Client, stock: Stock, act: Acts
) -> None:
    two = add_plant(act(), name="Thin Fiddle", ploidy=2, iris_class="MDB").thing
    page = ask(owner_client, stock.teapot, two)
    assert any("With 3 sets of chromosomes" in text for text in texts(page, "p b"))


def test_expect__without_loci_says_so(owner_client: Client, cast: Cast, act: Acts) -> None:
    for locus in Locus.live.filter(used=True):
        change_locus(act(), locus=locus, used=False)
    page = ask(owner_client, cast.teapot, cast.ledger)
    assert any("works with no locus yet" in text for text in texts(page, "section p"))
    assert texts(owner_client.get(reverse("count-types", args=[cast.cross.code])), ".empty")


def test_expect__shows_the_parents_before_the_copies_are_worked_out(
    owner_client: Client, stock: Stock
) -> None:
    query = {"seed": stock.teapot.pk, "pollen": stock.ledger.pk}
    page = owner_client.get(reverse("expect"), query)
    (waiting,) = tree(page).cssselect(".expect-whole[hx-trigger=load]")
    assert links(page, ".expect-whole a") == [waiting.get("hx-get") + "&worked=1"]
    part = owner_client.get(waiting.get("hx-get"), headers={"HX-Request": "true"})
    assert len(tree(part).cssselect(".expect-sheet svg")) == 48
    assert texts(part, "h1") == []
    again = owner_client.get(reverse("expect"), query)
    assert len(tree(again).cssselect(".expect-sheet svg")) == 48


def test_expect__swaps_the_answers_alone(owner_client: Client, stock: Stock) -> None:
    ask(owner_client, stock.teapot, stock.ledger)
    query = {"seed": stock.teapot.pk, "pollen": stock.ledger.pk, "wanted": ["t:pink", ""]}
    headers = {"HX-Request": "true", "HX-Target": "asked"}
    part = owner_client.get(reverse("expect"), query, headers=headers)
    assert len(texts(part, ".kin-words")) == 1
    assert texts(part, ".expect-sheet") == []


def test_expect__offers_what_typed_letters_may_mean(owner_client: Client, stock: Stock) -> None:
    page = owner_client.get(reverse("expect"), {"seed_text": "oboe", "pollen_text": "o"})
    assert texts(page, ".kin-mate .name") == ["Oboe for Hannes"]
    offered = tree(page).cssselect("#pollen-answers button")
    assert str(stock.postman.pk) in {button.get("value") for button in offered}
    part = owner_client.get(reverse("expect-answers", args=["seed"]), {"seed_text": "semaphor"})
    assert texts(part, "button .name") == ["Moss Semaphore"]
    assert owner_client.get(reverse("expect-answers", args=["c"])).status_code == 404


@pytest.mark.parametrize("nonsense", NONSENSE)
def test_pages__answer_nonsense(owner_client: Client, cast: Cast, nonsense: str) -> None:
    fields = ("seed", "pollen", "seed_text", "pollen_text", "wanted", "least", "testers")
    for field in fields:
        query = {"seed": cast.teapot.pk, "pollen": cast.ledger.pk, field: nonsense}
        assert owner_client.get(reverse("expect"), query).status_code == 200
    assert owner_client.get(reverse("expect-line"), {"seed": nonsense}).status_code == 200
    came = reverse("came", args=[cast.cross.code])
    assert owner_client.get(came, {"locus": nonsense}).status_code == 200
    count = reverse("count-types", args=[cast.cross.code])
    for query in (
        {"locus": nonsense},
        {"row": nonsense},
        {"add": nonsense, "type_yellow": nonsense},
    ):
        assert owner_client.get(count, query).status_code in (200, 404)
    assert owner_client.get(reverse("came", args=["99-999"])).status_code == 404


def test_line__names_what_may_come_and_what_cannot(
    owner_client: Client, stock: Stock, pinks: tuple[Plant, Plant]
) -> None:
    garden = Garden.get()
    assert expect_line(garden, None, pinks[0]) is None
    assert expect_line(garden, *pinks) == {"seed": pinks[0], "pollen": pinks[1], "waiting": True}
    told = expect_line(garden, stock.teapot, stock.ledger, [["t", "pink"]], patient=True)
    assert "pink" in [name for name, _ in told["may"]]
    assert len(told["may"]) <= expected.MOST_NAMED
    both = expect_line(garden, *pinks, [["t", "not-pink"]], patient=True)
    assert "not pink" in both["cannot"]
    query = {"seed": stock.teapot.pk, "pollen": stock.ledger.pk}
    (line,) = texts(owner_client.get(reverse("expect-line"), query), ".kin-line p")
    assert line.startswith("It may give ")
    alone = owner_client.get(reverse("expect-line"), {"seed": stock.teapot.pk})
    assert alone.content.strip() == b""


def test_count__keeps_the_types_of_a_row(owner_client: Client, cast: Cast) -> None:
    address = reverse("count-types", args=[cast.cross.code])
    page = owner_client.get(address, {"locus": "Y"})
    assert texts(page, ".expect-type label") == ["Yellow ground", "White ground"]
    assert len(tree(page).cssselect(".expect-type svg")) == 2
    assert texts(page, "#expect-total") == ["0 in all of 12 lined out"]
    sent = {"locus": "Y", "row": cast.row.pk, "type_yellow": "7", "type_white": ""}
    answer = post(owner_client, address, follow=True, **sent)
    tally = Tally.live.get()
    assert (tally.cross, tally.row, tally.locus.symbol) == (cast.cross, cast.row, "Y")
    assert dict(tally.counts.values_list("type", "count")) == {"yellow": 7, "white": 0}
    assert "Counted at Y in Long Bed, row 1, 1–12: 7 yellow" in texts(answer, ".kept p")[0]
    assert [each.get("value") for each in tree(answer).cssselect(".expect-type input")] == [
        "7",
        None,
    ]
    assert texts(answer, ".expect-type .hint") == ["7 before"]


def test_count__refuses_more_than_were_lined_out(owner_client: Client, cast: Cast) -> None:
    address = reverse("count-types", args=[cast.cross.code]) + "?locus=Y"
    for numbers, sentence in (
        (
            {"type_yellow": "9", "type_white": "4"},
            "13 seedlings seen, but only 12 lined out in Long Bed",
        ),
        ({"type_yellow": "", "type_white": "0"}, "Count at least one seedling."),
        ({"type_yellow": "-1"}, "Ensure this value is greater than or equal to 0."),
    ):
        refused = post(owner_client, address, **numbers)
        assert refused.status_code == 422
        assert texts(refused, "#wrong_type_yellow")[0].startswith(sentence)
    assert not Tally.objects.exists()
    assert owner_client.get(address + "&row=999").status_code == 404
    assert post(owner_client, address + "&row=999", type_yellow="1").status_code == 404


def test_count__counts_the_whole_cross_where_no_row_is(owner_client: Client, cast: Cast) -> None:
    address = reverse("count-types", args=[cast.bee_cross.code])
    assert post(owner_client, address, locus="Y", row="all", type_yellow="3").status_code == 303
    assert Tally.live.get().row is None


def test_count__adds_one_for_a_tap(owner_client: Client, cast: Cast) -> None:
    address = reverse("count-types", args=[cast.cross.code])
    page = owner_client.get(address, {"locus": "Y", "type_yellow": "3", "type_white": "1"})
    (plain,) = links(page, "#more_type_white")
    after = owner_client.get(address + plain)
    values = [each.get("value") for each in tree(after).cssselect(".expect-type input")]
    assert values == ["3", "2"]
    tap = {"locus": "Y", "row": cast.row.pk, "type_yellow": "3", "type_white": "1", "add": "1"}
    part = owner_client.get(address, tap, headers={"HX-Request": "true"})
    (number,) = tree(part).cssselect("input")
    assert (number.get("name"), number.get("value")) == ("type_white", "2")
    assert texts(part, "#expect-total") == ["5 in all of 12 lined out"]
    assert not Tally.objects.exists()


def test_count__takes_one_away_for_a_tap(owner_client: Client, cast: Cast) -> None:
    address = reverse("count-types", args=[cast.cross.code])
    page = owner_client.get(address, {"locus": "Y", "type_yellow": "3", "type_white": "0"})
    for field, values in (("type_yellow", ["2", None]), ("type_white", ["3", None])):
        (plain,) = links(page, f"#fewer_{field}")
        after = owner_client.get(address + plain)
        assert [each.get("value") for each in tree(after).cssselect(".expect-type input")] == values
    tap = {"locus": "Y", "row": cast.row.pk, "type_yellow": "3", "type_white": "1", "less": "0"}
    part = owner_client.get(address, tap, headers={"HX-Request": "true"})
    (number,) = tree(part).cssselect("input")
    assert (number.get("name"), number.get("value")) == ("type_yellow", "2")
    assert texts(part, "#expect-total") == ["3 in all of 12 lined out"]


def test_count__says_the_loci_in_words_the_one_that_is_counted_first(
    owner_client: Client, cast: Cast
) -> None:
    page = owner_client.get(reverse("count-types", args=[cast.cross.code]), {"locus": "t"})
    ways = texts(page, "[aria-label=Locus] a")
    assert ways[0] == "t tangerine"
    assert "Pl plicata series" in ways
    assert len(ways) == Locus.live.filter(used=True).count()


def test_came__sets_counts_against_what_was_expected_without_them(
    owner_client: Client, cast: Cast, act: Acts
) -> None:
    address = reverse("came", args=[cast.cross.code])
    assert texts(owner_client.get(address), ".empty")
    counted(act, cast, "Y", yellow=7, white=5)
    waiting = owner_client.get(address)
    assert texts(waiting, "section p")[0] == "7 yellow ground, 5 white ground."
    page = owner_client.get(address, {"worked": 1})
    rows = texts(page, "[aria-label='What came and what was expected'] tbody tr")
    assert [row.split()[0] for row in rows] == ["yellow", "white"]
    came = texts(page, "td[data-label='Came:']")
    assert came == ["7", "5"]
    total = sum(float(text) for text in texts(page, "td[data-label='Expected:']"))
    assert total == pytest.approx(12, abs=0.11)
    assert texts(page, ".kin-words")[0].startswith("What came is ")
    assert texts(page, ".expect-behind tbody tr")
    # Kept: the same page needs no waiting now.
    assert texts(owner_client.get(address), ".kin-words") == texts(page, ".kin-words")


def test_came__reports_a_flower_that_cannot_be(
    owner_client: Client, cast: Cast, act: Acts, pinks: tuple[Plant, Plant]
) -> None:
    child = add_plant(
        act(),
        name="Odd Lantern",
        seed_parent=pinks[0],
        pollen_parent=pinks[1],
        iris_class="TB",
        ploidy=4,
    ).thing
    note_type(act(), plant=child, locus=Locus.live.get(symbol="t"), type="not-pink")
    found = the_copies().of("t").contradictions
    assert [each.plant for each in found] == [child.pk]
    from breeding.pages import expectcame

    held = the_copies()
    held.chosen[cast.cross.pk, cast.row.pk] = [child.pk]
    told = expectcame.page_of(held, cast.cross, "t", patient=True)
    (odd,) = told["odd"]
    assert str(odd["plant"]) == "Odd Lantern"
    assert odd["types"] == ["not pink"]
    assert sum(cause.chance for cause in odd["causes"]) == pytest.approx(1, abs=0.03)


def test_came__counts_selected_seedlings_once(owner_client: Client, cast: Cast, act: Acts) -> None:
    from breeding.pages import expectcame
    from evaluation.records import select_seedling

    chosen = select_seedling(act(), row=cast.row, position=3, reason="ruffled").thing
    y = Locus.live.get(symbol="Y")
    note_type(act(), plant=chosen.plant, locus=y, type="yellow")
    held = the_copies()
    assert expectcame.came(held, cast.cross.pk, held.locus("Y")) == {"yellow": 1}
    counted(act, cast, "Y", yellow=7, white=5)
    held = the_copies()
    assert expectcame.came(held, cast.cross.pk, held.locus("Y")) == {"yellow": 7, "white": 5}
    counted(act, cast, "Y", white=5)
    held = the_copies()
    assert expectcame.came(held, cast.cross.pk, held.locus("Y")) == {"yellow": 1, "white": 5}


def test_pages__are_read_by_visitors(visitor_client: Client, cast: Cast, act: Acts) -> None:
    counted(act, cast, "Y", yellow=7, white=5)
    page = ask(visitor_client, cast.teapot, cast.ledger)
    assert not [link for link in links(page) if link.startswith(reverse("new-cross"))]
    came = visitor_client.get(reverse("came", args=[cast.cross.code]), {"worked": 1})
    assert links(came, ".act a") == []
    count = reverse("count-types", args=[cast.cross.code])
    assert visitor_client.get(count).status_code == 403
    assert post(visitor_client, count, locus="Y", type_yellow="1").status_code == 403
    assert not TypeCount.objects.filter(count=1).exists()


def test_pages__ask_a_fixed_number_of_queries(
    owner_client: Client, cast: Cast, act: Acts, django_assert_num_queries: Callable
) -> None:
    counted(act, cast, "Y", yellow=7, white=5)
    expect = f"?seed={cast.teapot.pk}&pollen={cast.ledger.pk}&wanted=t:pink&testers=seed&worked=1"
    pages = {
        # Session, person, garden; two plants; version; goals; three of fertility; two of living;
        # mates.
        reverse("expect") + expect: 14,
        reverse("came", args=[cast.cross.code]) + "?worked=1": 5,
        reverse("count-types", args=[cast.cross.code]) + "?locus=Y": 7,
    }
    for address in pages:
        owner_client.get(address)
    for address, queries in pages.items():
        with django_assert_num_queries(queries):
            owner_client.get(address)
    for at in range(6):
        add_plant(act(), name=f"Sister {at}", seed_parent=cast.oboe, iris_class="TB")
    for address in pages:
        owner_client.get(address)
    for address, queries in pages.items():
        with django_assert_num_queries(queries):
            owner_client.get(address)


def test_expected__is_kept_until_the_copies_move(cast: Cast, act: Acts) -> None:
    held = the_copies()
    found = expected.expected(held, cast.teapot.pk, cast.ledger.pk)
    assert expected.expected(the_copies(), cast.teapot.pk, cast.ledger.pk) is found
    counted(act, cast, "Y", yellow=1, white=11)
    after = expected.expected(the_copies(), cast.teapot.pk, cast.ledger.pk)
    assert after is not found
    assert after.visible["Y"]["white"] > found.visible["Y"]["white"]


def test_kinds__hold_all_chances_and_the_looks_differ(cast: Cast) -> None:
    found = expected.expected(the_copies(), cast.teapot.pk, cast.ledger.pk)
    assert sum(kind.chance for kind in found.kinds) == pytest.approx(1)
    looks = [tuple(sorted(kind.look.fields.items())) for kind in found.kinds]
    assert len(set(looks)) == len(looks)


def test_living__pools_what_was_lined_out_and_seen(cast: Cast, act: Acts) -> None:
    season = IN_BLOOM.year
    assert expectwork.living(season).out == expectwork.Share(12 / 18, 0.0, 1, 12, 18)
    assert expectwork.living(season).seen.mean is None
    counted(act, cast, "Y", yellow=4, white=5)
    assert expectwork.living(season).seen.mean is None
    assert expectwork.living(season + 1).seen.mean == pytest.approx(9 / 12)
    assert expectwork.living(season + 1).mean == pytest.approx(12 / 18 * 9 / 12)


def test_share__varies_only_beyond_chance() -> None:
    assert expectwork.share_of([(5, 10), (10, 20)]).variance == 0
    spread = expectwork.share_of([(0, 50), (50, 50)])
    assert spread.mean == 0.5
    assert spread.variance == pytest.approx(0.225)
    assert expectwork.share_of([]).mean is None


@pytest.mark.parametrize(
    ("chance", "said"),
    [
        (0.0, "none"),
        (1.0, "all"),
        (0.75, "3 in 4"),
        (1 / 36, "1 in 36"),
        (0.999, "all but 1 in 1,000"),
    ],
)
def test_odds__are_said_as_breeders_say_them(chance: float, said: str) -> None:
    assert odds(chance) == said


def test_percent__never_claims_certainty() -> None:
    assert [percent(part).replace(THIN, "") for part in (0, 1e-9, 0.5, 1 - 1e-9, 1)] == [
        "0%", "under 0.1%", "50%", "over 99%", "100%"
    ]  # fmt: skip


def test_pages__load_numbers_only_when_asked() -> None:
    code = (
        "import os, sys; os.environ['DJANGO_SETTINGS_MODULE'] = 'garden.settings'; import django; "
        "django.setup(); import breeding.views.expecting; "
        "print([name for name in ('numpy', 'scipy', 'matplotlib') if name in sys.modules])"
    )
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout.strip() == "[]"


def test_verb__refuses_another_crosss_row(cast: Cast, act: Acts) -> None:
    with pytest.raises(Refused, match="another cross"):
        count_types(act(), cross=cast.bee_cross, row=cast.row, locus=Locus.live.first(), counts={})
