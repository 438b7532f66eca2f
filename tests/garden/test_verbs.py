from __future__ import annotations

import uuid
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from garden.models import Garden, JournalLine, JournalMention, Person, Plant, fold
from garden.records import add_bed, add_plant, change_plant
from garden.verbs import Act, Refused, digest, plural, unique_facts, verb, written
from tests.cast import act_of


def mentions(line: JournalLine) -> set[tuple[str, int]]:
    return set(JournalMention.objects.filter(line=line).values_list("kind", "thing_id"))


def test_fold__names_as_people_type_them() -> None:
    assert fold(" Ludmila’s  KŘÍŽ ") == "ludmilas kriz"
    assert fold("Łódź Œuvre Ø") == "lodz oeuvre o"
    assert fold("“'`") == ""


def test_fold__signs_that_hide_capitals() -> None:
    assert fold("Foo™") == fold("footm")


@given(st.text())
def test_fold__twice_is_once(text: str) -> None:
    assert fold(fold(text)) == fold(text)


def test_written__no_leading_zero() -> None:
    assert written(date(2026, 6, 3)) == "3 June 2026"


def test_plural__one_some_and_irregular() -> None:
    assert [plural(0, "pod"), plural(1, "pod"), plural(2, "box", "boxes")] == [
        "0 pods", "1 pod", "2 boxes",
    ]  # fmt: skip


def test_digest__order_of_values_does_not_matter() -> None:
    assert digest("sow", {"a": 1, "b": [date(2024, 6, 1)]}) == digest(
        "sow", {"b": ["2024-06-01"], "a": 1}
    )


@pytest.mark.parametrize(
    "values", [{"a": 2}, {"a": "1"}, {"a": None}, {"b": 1}, {}, {"a": 1, "b": ""}]
)
def test_digest__other_values_differ(values: dict) -> None:
    assert digest("sow", values) != digest("sow", {"a": 1})


def test_digest__other_verb_differs() -> None:
    assert digest("sow", {"a": 1}) != digest("harvest", {"a": 1})


def test_digest__knows_nothing_of_a_password() -> None:
    assert digest("add_person", {"name": "x", "password": "a"}) == digest(
        "add_person", {"name": "x", "password": "b"}
    )


def test_digest__half_of_a_sign() -> None:
    assert len(digest("sow", {"note": "\ud800"})) == 64


def test_unique_facts__last_version_in_first_place() -> None:
    old, new, other = Plant(pk=1, name="old"), Plant(pk=1, name="new"), Plant(pk=2)
    assert [fact.name for fact in unique_facts([old, other, new])] == ["new", ""]


def test_refused__sentences_by_field() -> None:
    refused = Refused("Too many.", "seeds", day="Too early.")
    assert refused.messages == {"seeds": "Too many.", "day": "Too early."}
    assert str(refused) == "Too many. Too early."


def test_act__day_is_that_of_the_garden(act, owner) -> None:
    Garden.objects.update(time_zone="Pacific/Auckland")
    late = datetime(2026, 5, 20, 13, tzinfo=UTC)
    assert Act(owner, happened_at=late).today == date(2026, 5, 21)


def test_act__day_not_come_yet(act) -> None:
    doing = act(day=date(2026, 5, 20))
    assert doing.day(date(2026, 5, 21)) == date(2026, 5, 21)
    with pytest.raises(Refused, match="22 May 2026 has not come yet") as refused:
        doing.day(date(2026, 5, 22), "looked_on")
    assert list(refused.value.messages) == ["looked_on"]


def test_act__day_before_all_notebooks(act) -> None:
    assert act().day(date(1900, 1, 1)) == date(1900, 1, 1)
    with pytest.raises(Refused, match="31 December 1899 is too long ago"):
        act().day(date(1899, 12, 31))


def test_act__no_day_chosen_is_today(act) -> None:
    assert act(day=date(2026, 5, 20)).day(None) == date(2026, 5, 20)


def test_verb__writes_one_line(act, owner) -> None:
    received = datetime(2026, 5, 21, 6, tzinfo=UTC)
    doing = act(device="Wanda's telephone", received_at=received)
    kept = add_bed(doing, name="Long Bed", rows=3, positions=20)
    line = JournalLine.objects.get()
    assert kept.line == line
    assert not kept.again
    assert (line.verb, line.person, line.device) == ("add_bed", owner, "Wanda's telephone")
    assert (line.happened_at, line.received_at) == (doing.happened_at, received)
    assert (line.subject_kind, line.subject_id) == ("garden.bed", kept.thing.pk)
    assert line.text == "Laid out Long Bed: 3 rows of 20 positions"
    assert line.made == [["garden.bed", kept.thing.pk]]
    assert line.changed == []
    assert mentions(line) == {("garden.bed", kept.thing.pk)}


def test_verb__line_of_a_plant_speaks_of_the_plant(act, stock) -> None:
    """A plant has a field 'kind' of its own; the journal means another."""
    line = change_plant(act(), plant=stock.oboe, seed_parent=stock.guest).line
    assert line.subject_kind == "garden.plant"
    assert line.changed[0]["kind"] == "garden.plant"
    assert mentions(line) == {("garden.plant", stock.oboe.pk), ("garden.plant", stock.guest.pk)}


def test_verb__change_keeps_what_stood_before(act, stock) -> None:
    line = change_plant(act(), plant=stock.teapot, height_cm=90, notes="leans").line
    (change,) = line.changed
    assert change["before"] == {"height_cm": None, "notes": ""}
    assert change["after"] == {"height_cm": 90, "notes": "leans"}


def test_verb__long_words_fit_the_line(act) -> None:
    line = add_bed(act(device="x" * 300), name="Long Bed").line
    line.refresh_from_db()
    assert len(line.device) == 60


def test_verb__same_entry_again_changes_nothing(act, owner) -> None:
    first = add_plant(act(entry=(entry := uuid.uuid4())), name="Quillon Teapot")
    again = add_plant(
        act(entry=entry, day=date(2026, 5, 22), device="a tablet"), name="Quillon Teapot"
    )
    assert again.again
    assert (again.thing, again.line) == (first.thing, first.line)
    assert Plant.objects.count() == JournalLine.objects.count() == 1


def test_verb__same_entry_with_other_values(act) -> None:
    add_plant(act(entry=(entry := uuid.uuid4())), name="Quillon Teapot")
    with pytest.raises(Refused, match="already kept with other words"):
        add_plant(act(entry=entry), name="Marzipan Ledger")
    assert Plant.objects.count() == 1


def test_verb__same_entry_for_another_verb(act) -> None:
    add_plant(act(entry=(entry := uuid.uuid4())), name="Long Bed")
    with pytest.raises(Refused, match="already kept"):
        add_bed(act(entry=entry), name="Long Bed")


def test_verb__same_entry_from_another_person(act, helper_person) -> None:
    add_plant(act(entry=(entry := uuid.uuid4())), name="Quillon Teapot")
    with pytest.raises(Refused, match="already kept"):
        add_plant(act(helper_person, entry=entry), name="Quillon Teapot")


def test_verb__a_refused_entry_may_be_sent_again(act) -> None:
    entry = uuid.uuid4()
    with pytest.raises(Refused):
        add_plant(act(entry=entry), name="")
    assert not add_plant(act(entry=entry), name="Quillon Teapot").again


def test_verb__visitor_is_refused(act, visitor) -> None:
    with pytest.raises(Refused, match="Visitors read"):
        add_bed(act(visitor), name="Long Bed")
    assert JournalLine.objects.count() == 0


def test_verb__somebody_shut_out_is_refused(act, helper_person) -> None:
    Person.objects.filter(pk=helper_person.pk).update(is_active=False)
    helper_person.refresh_from_db()
    with pytest.raises(Refused, match="Visitors read"):
        add_bed(act(helper_person), name="Long Bed")


def test_verb__helper_records(act, helper_person) -> None:
    assert add_bed(act(helper_person), name="Long Bed").line.person == helper_person


@pytest.mark.parametrize("text", ["a\x00b", "half \ud83c a flower"])
def test_verb__signs_that_cannot_be_written(act, text: str) -> None:
    with pytest.raises(Refused, match="cannot be written down") as refused:
        add_bed(act(), name="Long Bed", note=text)
    assert list(refused.value.messages) == ["note"]


def test_verb__too_long_for_its_column(act) -> None:
    with pytest.raises(Refused, match="at most 40 characters") as refused:
        add_bed(act(), name="b" * 41)
    assert list(refused.value.messages) == ["name"]


def test_verb__database_rule_becomes_a_sentence(act, stock) -> None:
    @verb
    def write_twice(act: Act) -> tuple[Plant, str]:
        return act.make(Plant(name="Quillon Teapot")), "twice"

    with pytest.raises(Refused, match="does not fit what is recorded"):
        write_twice(act())


def test_verb__refused_after_writing_leaves_nothing(act, owner) -> None:
    @verb
    def change_mind(act: Act) -> tuple[Plant, str]:
        act.make(Plant(name="Half a Plant"))
        raise Refused("No.")

    with pytest.raises(Refused, match="No"):
        change_mind(act())
    assert not Plant.objects.exists()
    assert not JournalLine.objects.exists()


def test_verb__clock_defaults_to_now(owner) -> None:
    before = datetime.now(UTC)
    line = add_bed(Act(owner), name="Long Bed").line
    assert before <= line.happened_at <= line.received_at <= before + timedelta(seconds=30)


def test_act_of__noon_in_the_garden(owner) -> None:
    assert act_of(owner, date(2026, 5, 20)).happened_at.isoformat() == "2026-05-20T12:00:00+02:00"
