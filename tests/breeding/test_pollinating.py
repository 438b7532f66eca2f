from __future__ import annotations

import uuid
from datetime import date

import pytest

from breeding.models import Cross, Pollination, Tag, TagBatch
from breeding.records import correct_cross, print_tags, record_pollination, spoil_tag
from breeding.tagnumbers import tag_codes
from garden.models import Garden, JournalLine
from garden.records import change_garden, strike_plant, undo
from garden.verbs import Refused
from tests.cast import PRINTED, WORKED


@pytest.fixture
def work(act, stock):
    """work(seed, pollen, tag number): a flower worked on 1 June 2024."""

    def flower(seed, pollen, tag: int = 0, **values):
        day = values.pop("on", WORKED)
        return record_pollination(
            act(day=day), seed_parent=seed, pollen_parent=pollen, tag=stock.tags[tag], **values
        )

    return flower


def test_print_tags__gives_out_numbers(act, bare) -> None:
    kept = print_tags(act(day=PRINTED), count=5)
    assert (kept.thing.printed_on, kept.thing.count) == (PRINTED, 5)
    codes = list(Tag.objects.values_list("code", flat=True))
    assert codes == ["10007", "10015", "10023", "10031", "10058"]
    assert kept.line.text == "Made 5 tags: 10007 to 10058"


def test_print_tags__go_on_where_they_stopped(act, stock) -> None:
    more = print_tags(act(), count=4).thing
    new = set(Tag.objects.filter(batch=more).values_list("code", flat=True))
    assert len(new) == 4
    assert not new & set(stock.tags)
    assert Garden.objects.get().next_tag > int(stock.tags[-1]) // 10


@pytest.mark.parametrize("count", [-1, 0, 2001])
def test_print_tags__count_out_of_range(act, bare, count: int) -> None:
    with pytest.raises(Refused, match="The number of tags must be from 1 to 2000") as refused:
        print_tags(act(), count=count)
    assert list(refused.value.messages) == ["count"]
    assert not TagBatch.objects.exists()


def test_print_tags__same_entry_prints_once(act, bare) -> None:
    entry = uuid.uuid4()
    print_tags(act(entry=entry), count=5)
    assert print_tags(act(entry=entry), count=5).again
    assert Tag.objects.count() == 5


def test_spoil_tag__set_aside(act, stock) -> None:
    tag = Tag.objects.get(code=stock.tags[3])
    kept = spoil_tag(act(), tag=tag, reason=" torn by wind ")
    assert kept.thing.spoiled == "torn by wind"
    assert kept.line.text == "Set aside tag 10031: torn by wind"


def test_spoil_tag__needs_a_reason(act, stock) -> None:
    with pytest.raises(Refused, match="Write what happened") as refused:
        spoil_tag(act(), tag=Tag.objects.first(), reason="  ")
    assert list(refused.value.messages) == ["reason"]


def test_spoil_tag__hanging_on_a_flower(act, cast) -> None:
    with pytest.raises(Refused, match="already hangs"):
        spoil_tag(act(), tag=cast.flower.tag, reason="torn")


def test_record_pollination__keeps_the_flower(stock, work) -> None:
    kept = work(stock.teapot, stock.ledger, stigmas=2, falls_removed=True, note=" windy ")
    flower = kept.thing
    assert (flower.day, flower.stigmas, flower.falls_removed, flower.note, flower.state) == (
        WORKED, 2, True, "windy", "worked",
    )  # fmt: skip
    cross = flower.cross
    assert (cross.code, cross.season, cross.number) == ("24-001", 2024, 1)
    assert (cross.seed_parent, cross.pollen_parent) == (stock.teapot, stock.ledger)
    assert (cross.flowers, cross.pods, cross.failed) == (1, 0, 0)
    assert kept.line.text == "24-001: Quillon Teapot × Marzipan Ledger, tag 10007"


def test_record_pollination__the_line_speaks_of_all_it_touches(stock, work) -> None:
    kept = work(stock.teapot, stock.ledger)
    flower = kept.thing
    assert set(kept.line.mentions.values_list("kind", "thing_id")) == {
        ("breeding.pollination", flower.pk),
        ("breeding.cross", flower.cross_id),
        ("breeding.tag", flower.tag_id),
        ("garden.plant", stock.teapot.pk),
        ("garden.plant", stock.ledger.pk),
    }


def test_record_pollination__one_number_for_one_combination(stock, work) -> None:
    first = work(stock.teapot, stock.ledger).thing
    second = work(stock.teapot, stock.ledger, 1).thing
    assert first.cross == second.cross
    assert Cross.objects.get().flowers == 2


def test_record_pollination__both_directions_are_two_crosses(stock, work) -> None:
    one, other = work(stock.teapot, stock.ledger).thing, work(stock.ledger, stock.teapot, 1).thing
    assert (one.cross.code, other.cross.code) == ("24-001", "24-002")


def test_record_pollination__next_season_is_another_cross(stock, work) -> None:
    work(stock.teapot, stock.ledger)
    later = work(stock.teapot, stock.ledger, 1, on=date(2025, 6, 1)).thing
    assert later.cross.code == "25-001"


def test_record_pollination__southern_season(act, stock, work) -> None:
    change_garden(act(), hemisphere="S")
    spring = work(stock.teapot, stock.ledger, on=date(2024, 11, 5)).thing
    autumn = work(stock.teapot, stock.ledger, 1, on=date(2025, 2, 5)).thing
    assert spring.cross == autumn.cross
    assert spring.cross.code == "24-001"


def test_record_pollination__selfing(stock, work) -> None:
    cross = work(stock.teapot, stock.teapot).thing.cross
    assert cross.seed_parent == cross.pollen_parent


def test_record_pollination__bee_pod_is_chosen(stock, work) -> None:
    kept = work(stock.postman, None, pollen_unknown=True)
    assert kept.thing.cross.pollen_unknown
    assert kept.thing.cross.pollen_parent is None
    assert kept.line.text == "24-001: Thistle Postman × unknown, tag 10007"
    again = work(stock.postman, None, 1, pollen_unknown=True)
    assert again.thing.cross == kept.thing.cross


@pytest.mark.parametrize(("given", "unknown"), [(False, False), (True, True)])
def test_record_pollination__pollen_parent_or_unknown(stock, work, given, unknown) -> None:
    with pytest.raises(Refused, match="Choose the pollen parent") as refused:
        work(stock.teapot, stock.ledger if given else None, pollen_unknown=unknown)
    assert list(refused.value.messages) == ["pollen_parent"]


@pytest.mark.parametrize("side", ["seed_parent", "pollen_parent"])
def test_record_pollination__struck_parent(act, stock, work, side: str) -> None:
    """The plant in hand was read before somebody struck it out."""
    strike_plant(act(), plant=stock.guest, reason="")
    pair = {"seed": stock.teapot, "pollen": stock.teapot, side.removesuffix("_parent"): stock.guest}
    with pytest.raises(Refused, match="Q 17-3 was struck out") as refused:
        work(pair["seed"], pair["pollen"])
    assert list(refused.value.messages) == [side]


@pytest.mark.parametrize("stigmas", [-1, 0, 4])
def test_record_pollination__three_stigmas(stock, work, stigmas: int) -> None:
    with pytest.raises(Refused, match="Stigmas worked must be from 1 to 3") as refused:
        work(stock.teapot, stock.ledger, stigmas=stigmas)
    assert list(refused.value.messages) == ["stigmas"]


@pytest.mark.parametrize(
    ("day", "sentence"),
    [(date(2024, 6, 3), "has not come yet"), (date(1899, 6, 1), "too long ago")],
)
def test_record_pollination__days_that_cannot_be(stock, work, day: date, sentence: str) -> None:
    with pytest.raises(Refused, match=sentence) as refused:
        work(stock.teapot, stock.ledger, day=day)
    assert list(refused.value.messages) == ["day"]


def test_record_pollination__each_bad_tag_has_its_own_sentence(act, stock, work) -> None:
    work(stock.teapot, stock.ledger)
    spoil_tag(act(), tag=Tag.objects.get(code=stock.tags[1]), reason="torn")
    never_printed = next(code for _, code in tag_codes(5000, 1))
    sentences = []
    for typed in ["1000x", "10008", never_printed, stock.tags[0], stock.tags[1]]:
        with pytest.raises(Refused) as refused:
            record_pollination(
                act(), seed_parent=stock.teapot, pollen_parent=stock.ledger, tag=typed
            )
        sentences.append(refused.value.messages["tag"])
    assert sentences == [
        "A tag number has only digits: type it as it stands on the tag.",
        "10008 is mistyped: its last digit does not fit the others. Look at the tag again.",
        f"Tag {never_printed} was never printed in this garden.",
        "Tag 10007 already hangs on a flower of 24-001, worked on 1 June 2024.",
        "Tag 10015 was set aside: torn.",
    ]
    assert Pollination.objects.count() == 1


def test_record_pollination__tag_of_a_sheet_taken_back(act, stock, work) -> None:
    undo(act(), line=JournalLine.objects.get(verb="print_tags"))
    with pytest.raises(Refused, match="never printed"):
        work(stock.teapot, stock.ledger)


def test_record_pollination__tag_with_spaces(act, stock) -> None:
    flower = record_pollination(
        act(), seed_parent=stock.teapot, pollen_parent=stock.ledger, tag=" 1000 7 "
    ).thing
    assert flower.tag.code == "10007"


def test_record_pollination__tag_is_free_after_undo(act, stock, work) -> None:
    undo(act(), line=work(stock.teapot, stock.ledger).line)
    assert work(stock.ledger, stock.teapot).thing.tag.code == "10007"


def test_record_pollination__number_not_given_again_after_undo(act, stock, work) -> None:
    undo(act(), line=work(stock.teapot, stock.ledger).line)
    assert work(stock.teapot, stock.ledger).thing.cross.code == "24-002"


def test_record_pollination__refused_leaves_no_cross(act, stock, work) -> None:
    with pytest.raises(Refused):
        work(stock.teapot, stock.ledger, stigmas=9)
    assert not Cross.objects.exists()


def test_record_pollination__same_entry(act, stock, work, helper_person) -> None:
    values = {"seed_parent": stock.teapot, "pollen_parent": stock.ledger, "tag": stock.tags[0]}
    entry = uuid.uuid4()
    first = record_pollination(act(entry=entry), **values)
    assert record_pollination(act(entry=entry), **values).thing == first.thing
    with pytest.raises(Refused, match="already kept"):
        record_pollination(act(entry=entry), **values | {"tag": stock.tags[1]})
    with pytest.raises(Refused, match="already kept"):
        record_pollination(act(helper_person, entry=entry), **values)
    assert Pollination.objects.count() == 1


def test_record_pollination__visitor(act, stock, visitor) -> None:
    with pytest.raises(Refused, match="Visitors read"):
        record_pollination(
            act(visitor), seed_parent=stock.teapot, pollen_parent=stock.ledger, tag=stock.tags[0]
        )


def test_record_pollination__combination_corrected_away_gets_a_new_number(act, cast) -> None:
    correct_cross(
        act(), cross=cast.cross, seed_parent=cast.teapot, pollen_parent=cast.guest, reason="seen"
    )
    flower = record_pollination(
        act(day=WORKED), seed_parent=cast.teapot, pollen_parent=cast.ledger, tag=cast.free_tag
    ).thing
    assert flower.cross.code == "24-003"
