"""The form of a locus: a hypothesis of one's own, its types, and what is refused where."""

from __future__ import annotations

import uuid

import pytest
from django.test import Client
from django.urls import reverse

from breeding.models import Locus
from breeding.records import change_locus, note_type
from tests.cast import Stock
from tests.pages import links, post, texts, tree

HTMX = {"headers": {"HX-Request": "true"}}
NEW = {
    "symbol": "Sp", "name": "spotted base", "alleles": "Sp, sp", "source": "own guess",
    "confidence": "supposed",
    "name_new1": "spotted", "allele1_new1": "Sp", "least1_new1": "2",
    "paint_standards_new1": "pink", "paint_falls_new1": "rose",
    "signs_new1": "falls: pink, not coral; beard: red\npattern: bitone",
    "name_new2": "plain",
}  # fmt: skip


@pytest.fixture
def tangerine(db: None) -> Locus:
    return Locus.live.get(symbol="t")


@pytest.mark.parametrize("name", ["locus-new", "locus-change", "locus-type", "locus-looks"])
def test_owner_alone_writes_loci(
    helper_client: Client, visitor_client: Client, stock: Stock, name: str
) -> None:
    address = reverse(name, args=["V"] if name == "locus-change" else [])
    for client in (helper_client, visitor_client):
        assert client.get(address).status_code == 403
        assert client.post(address).status_code == 403
        assert tree(client.get(reverse("locus", args=["V"]))).cssselect(".act") == []
        assert client.post(reverse("locus-use", args=["V"]), {"used": "no"}).status_code == 403


def test_new_locus__is_kept_with_rules_colours_and_signs(
    owner_client: Client, stock: Stock
) -> None:
    answer = post(owner_client, reverse("locus-new"), **NEW, follow=True)
    assert texts(answer, "h1") == ["Sp spotted base"]
    locus = Locus.live.get(symbol="Sp")
    assert (locus.alleles, locus.counted) == (["Sp", "sp"], "Sp")
    assert locus.types == [
        {
            "key": "spotted", "name": "spotted", "needs": {"Sp": 2},
            "paint": {"standards": "pink", "falls": "rose"},
            "signs": [{"falls": ["pink", "!coral"], "beard": ["red"]}, {"pattern": ["bitone"]}],
            "hides": [],
        },
        {"key": "plain", "name": "plain", "needs": {}, "paint": {}, "signs": [], "hides": []},
    ]  # fmt: skip


def test_new_locus__little_is_asked_at_first_and_hints_are_plain(
    owner_client: Client, stock: Stock
) -> None:
    page = tree(owner_client.get(reverse("locus-new")))
    first = [each.get("name") for each in page.cssselect("form input, form select, form textarea")
             if not any(up.tag == "details" and "fold" in up.get("class", "")
                        for up in each.iterancestors())]  # fmt: skip
    asked = [name for name in first if name and "_new" in name]
    assert asked == ["name_new1", "allele1_new1", "least1_new1",
                     "name_new2", "allele1_new2", "least1_new2"]  # fmt: skip
    # The flower stays in sight while its colours are folded away.
    assert len(page.cssselect("summary .locus-look svg")) == 2
    hint = " ".join(page.cssselect("#hint_signs_new1")[0].text_content().split())
    assert hint.startswith("One look a line: a part of the flower, a colon, and the words")


@pytest.mark.parametrize(
    ("field", "value"), [("signs_new1", "plaid"), ("hides_new1", "Qq"), ("place_new1", "99"),
                         ("paint_falls_new1", "plaid"), ("counted", "Q")],
)  # fmt: skip
def test_new_locus__a_fold_is_open_where_something_is_wrong(
    owner_client: Client, stock: Stock, field: str, value: str
) -> None:
    answer = tree(post(owner_client, reverse("locus-new"), **NEW | {field: value}))
    (wrong,) = answer.cssselect(f"[name={field}]")
    folds = [up for up in wrong.iterancestors() if up.tag == "details"]
    assert folds
    assert all("open" in up.attrib for up in folds)
    calm = tree(owner_client.get(reverse("locus-new")))
    assert not calm.cssselect("details.fold[open]")


def test_new_locus__whatever_is_left_stands_last(owner_client: Client, stock: Stock) -> None:
    turned = {
        **NEW, "name_new1": "plain", "allele1_new1": "", "least1_new1": "", "signs_new1": "",
        "name_new2": "spotted", "allele1_new2": "Sp", "least1_new2": "3",
        "name_new3": "speckled", "allele1_new3": "Sp",
    }  # fmt: skip
    post(owner_client, reverse("locus-new"), **turned)
    told = [(each["name"], each["needs"]) for each in Locus.live.get(symbol="Sp").types]
    assert told == [("spotted", {"Sp": 3}), ("speckled", {"Sp": 1}), ("plain", {})]


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("symbol", "", "This field is required."),
        ("symbol", "V", "There is a locus V already."),
        ("symbol", "a/b", "Write the symbol in letters and digits."),
        ("symbol", "..", "Write the symbol in letters and digits."),
        ("source", "", "Say where this is from, or that it is your own guess."),
        ("alleles", "Sp", "Write two to four different alleles, as in V, v."),
        ("alleles", "Sp, Sp", "Write two to four different alleles, as in V, v."),
        ("alleles", "a b c d e", "Write two to four different alleles, as in V, v."),
        ("counted", "Q", "The copies of Q cannot be counted: the alleles of Sp are Sp, sp."),
        ("allele1_new1", "Q", "The alleles are Sp, sp."),
        ("allele2_new1", "Sp", "Sp stands twice."),
        ("allele1_new1", "", "Write of which allele."),
        ("least1_new1", "9", "Write a number from 1 to 8."),
        ("least1_new1", "0", "Write a number from 1 to 8."),
        ("paint_falls_new1", "plaid", "Choose one of these."),
        ("signs_new1", "falls violet", "Write each look as part: words"),
        ("signs_new1", "petals: violet", "Write each look as part: words"),
        ("signs_new1", "falls: plaid", "'spotted' is read from the falls 'plaid'"),
        ("signs_new1", "falls: not violet", "A sign of 'spotted' must say what is seen"),
        ("hides_new1", "Qq", "There is no locus Qq."),
        ("name_new2", "spotted", "Each type of Sp needs a name of its own."),
        ("gone_new2", "on", "Sp needs two to six types of flowers to tell apart."),
        ("confidence", "proven", "Choose one of these."),
    ],
)
def test_new_locus__what_is_wrong_is_said_at_its_field(
    owner_client: Client, stock: Stock, field: str, value: str, sentence: str
) -> None:
    lines = Locus.objects.count()
    answer = post(owner_client, reverse("locus-new"), **NEW | {field: value})
    assert answer.status_code == 422
    assert Locus.objects.count() == lines
    at = {"gone_new2": "gone_new1", "name_new2": "name_new1"}.get(field, field)
    (said,) = texts(answer, f"#wrong_{at}")
    assert said.startswith(sentence)


def test_new_locus__types_that_no_plant_can_show_are_refused(
    owner_client: Client, stock: Stock
) -> None:
    never = {"name_new3": "never", "allele1_new3": "Sp", "least1_new3": "3"}
    answer = post(owner_client, reverse("locus-new"), **NEW | never)
    assert texts(answer, "#wrong_allele1_new3") == [
        "'never' can never show: a type before it takes every such plant."
    ]


def test_new_locus__without_any_type_is_refused(owner_client: Client, stock: Stock) -> None:
    bare = {name: value for name, value in NEW.items() if not name.endswith(("new1", "new2"))}
    assert post(owner_client, reverse("locus-new"), **bare).status_code == 422
    many = {f"name_new{at}": f"type {at}" for at in range(40)}
    assert post(owner_client, reverse("locus-new"), **bare | many).status_code == 422


def test_locus_form__a_type_is_added_with_and_without_script(
    owner_client: Client, stock: Stock
) -> None:
    page = owner_client.get(reverse("locus-new"))
    (more,) = tree(page).cssselect("#locus-more")
    assert (more.get("href"), more.get("hx-get")) == (
        "?add=3", reverse("locus-type") + "?add=3"
    )  # fmt: skip
    whole = owner_client.get(reverse("locus-new") + "?add=3")
    assert len(tree(whole).cssselect(".locus-part")) == 3
    part = owner_client.get(more.get("hx-get"), **HTMX)
    assert len(tree(part).cssselect("[name=name_new3]")) == 1
    assert links(part, "#locus-more[hx-swap-oob]") == ["?add=4"]
    for nonsense in ("x", "-1", "999", "٣", ""):
        assert owner_client.get(reverse("locus-type"), {"add": nonsense}).status_code == 404


def test_locus_form__draws_what_stands_in_it(owner_client: Client, stock: Stock) -> None:
    before = Locus.objects.count()
    address = reverse("locus-looks")
    page = owner_client.post(address, NEW)
    assert len(tree(page).cssselect(".locus-look[hx-swap-oob] svg")) == 2
    assert Locus.objects.count() == before
    changed = owner_client.post(f"{address}?of=V", {"paint_falls_pigment": "coral"})
    (first, _) = tree(changed).cssselect(".locus-look")
    assert first.get("id") == "look-pigment"
    assert "coral" in first.text_content().lower() or "#f08b78" in changed.content.decode()
    assert owner_client.post(f"{address}?of=%00", {"name_new1": "x" * 9999}).status_code == 200


def locus_fields(client: Client, symbol: str) -> dict[str, str]:
    """The form of a locus as its page would send it unchanged."""
    form = client.get(reverse("locus-change", args=[symbol])).context["form"]
    told = {field.html_name: field.value() for field in form}
    sent = {name: "" if value is None else str(value) for name, value in told.items()}
    return {name: value for name, value in sent.items()
            if not name.startswith("gone_")}  # fmt: skip


@pytest.mark.parametrize("symbol", ["V", "I", "Pl", "Is", "Ae", "Y", "t"])
def test_change_locus__sent_as_it_stands_changes_nothing(
    owner_client: Client, stock: Stock, symbol: str
) -> None:
    sent = locus_fields(owner_client, symbol) | {"reason": "none", "entry": str(uuid.uuid4())}
    answer = owner_client.post(reverse("locus-change", args=[symbol]), sent)
    assert answer.status_code == 422
    assert texts(answer, ".errors li") == ["Nothing was changed."]


def test_change_locus__names_and_words_and_one_more_type(
    owner_client: Client, stock: Stock
) -> None:
    sent = locus_fields(owner_client, "V") | {
        "name_pigment": "violet or blue", "reason": "clearer",
        "name_new1": "deep violet", "allele1_new1": "V", "least1_new1": "3", "order": "",
        "place_new1": "1", "place_pigment": "2",
    }  # fmt: skip
    post(owner_client, reverse("locus-change", args=["V"]), **sent)
    changed = Locus.live.get(symbol="V")
    assert [each["key"] for each in changed.types] == ["deep-violet", "pigment", "none"]
    assert changed.types[1]["name"] == "violet or blue"


def test_change_locus__a_type_that_was_seen_stays(
    owner_client: Client, act, stock: Stock, tangerine: Locus
) -> None:
    change_locus(act(), locus=tangerine, types=[
        {"key": "white", "name": "no pink", "needs": {"T": 2}}, *tangerine.types
    ])  # fmt: skip
    note_type(act(), plant=stock.guest, locus=tangerine, type="white")
    sent = locus_fields(owner_client, "t") | {"gone_white": "on", "reason": "simpler"}
    answer = post(owner_client, reverse("locus-change", args=["t"]), **sent)
    assert answer.status_code == 422
    assert texts(answer, "#wrong_gone_white") == [
        "Flowers were recorded as ‘white’: keep that type."
    ]
