"""Random gardeners: whatever they do in whatever order, the thread stays whole."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from typing import Any

import pytest
from django.db import transaction
from django.db.models import F
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from breeding.invariants import violations
from breeding.models import Cross, Pollination, Pot, PotCount, Row, SeedCup, Tag, TagBatch
from breeding.records import (
    correct,
    correct_cross,
    correct_parents,
    count_up,
    harvest,
    line_out,
    note_pod,
    print_tags,
    put_away,
    record_pollination,
    sow,
    spoil_tag,
)
from breeding.records.correcting import CORRECTABLE
from evaluation.models import Seedling
from evaluation.records import select_seedling
from garden.models import Bed, Fact, Garden, JournalLine, JournalMention, Person, Placing, Plant
from garden.models.stock import ancestors
from garden.records import add_bed, add_plant, change_bed, change_plant, strike_plant, undo
from garden.verbs import Act, Kept, Refused
from tests.cast import act_of, lay_out_garden

EXAMPLES = int(os.environ.get("HAFTBOOK_EXAMPLES", "15"))
MODELS = (
    Bed, Cross, Garden, JournalLine, JournalMention, Person, Placing, Plant, Pollination, Pot,
    PotCount, Row, SeedCup, Seedling, Tag, TagBatch,
)  # fmt: skip
# Tags of a sheet that was taken back stay as they are; it is the sheet that makes them count.
FACTS = tuple(model for model in MODELS if issubclass(model, Fact) and model is not Tag)
THINGS = (Cross, Pollination, SeedCup, Pot, PotCount, Row)

pick = st.integers(0, 60)
# Mostly today or soon after; sometimes long ago, long ahead, or before there were notebooks.
days = st.one_of(
    st.none(), st.none(), st.integers(-60, 5), st.sampled_from([-60_000, -800, 1, 2, 9_000])
)
counts = st.one_of(st.integers(1, 12), st.integers(1, 12), st.sampled_from([-3, 0, 301, 10**19]))
reasons = st.sampled_from(["", "", " ", "counted twice"])


def whole_garden() -> dict[str, list[tuple]]:
    """Every row of every table."""
    return {model.__name__: list(model.objects.order_by("pk").values_list()) for model in MODELS}


class Gardeners(RuleBasedStateMachine):
    """Each rule is one thing that somebody tries; most of what they try is nearly sensible."""

    def __init__(self) -> None:
        super().__init__()
        self.transaction = transaction.atomic()
        self.transaction.__enter__()
        self.today = date(2024, 6, 1)

    def teardown(self) -> None:
        transaction.set_rollback(True)
        self.transaction.__exit__(None, None, None)

    @initialize(steps=st.integers(0, 7))
    def begin(self, steps: int) -> None:
        lay_out_garden()
        self.people = [
            Person.objects.create_user("Wanda", role="owner"),
            Person.objects.create_user("Emil", role="helper"),
            Person.objects.create_user("Odile", role="visitor"),
        ]
        for name in ("Quillon Teapot", "Marzipan Ledger", "Thistle Postman"):
            self.attempt(add_plant, 0, name=name, iris_class="TB")
        self.attempt(add_bed, 0, name="Long Bed", rows=2, positions=12)
        self.attempt(print_tags, 0, count=8)
        for step in range(steps):
            self.carry_on(step, 4, 60)

    def act(self, who: int) -> Act:
        # Seldom the helper, seldom the visitor: mostly the owner.
        person = self.people[{7: 2, 5: 1, 6: 1}.get(who % 8, 0)]
        return act_of(person, self.today)

    def attempt(self, verb: Callable[..., Kept], who: int, **values: Any) -> None:
        before = whole_garden()
        act = self.act(who)
        kept, sentence = None, ""
        try:
            kept = verb(act, **values)
        except Refused as refused:
            sentence = str(refused)
        after = whole_garden()
        if kept is None:
            assert after == before
            assert sentence.strip()
            return
        assert len(after["JournalLine"]) == len(before["JournalLine"]) + 1
        again = verb(Act(act.person, act.happened_at, entry=act.entry), **values)
        assert again.again
        assert again.line == kept.line
        assert whole_garden() == after

    def day(self, offset: int | None) -> date | None:
        return None if offset is None else self.today + timedelta(days=offset)

    def one(self, model: type, number: int) -> Any:
        """One of the newest things of that kind, struck out or not."""
        things = model.objects.order_by("-pk")
        return things[number % min(things.count(), 6)]

    def some(model: type) -> Callable[[Gardeners], bool]:  # noqa: N805
        return lambda self: model.objects.exists()

    @rule(step=st.integers(0, 6), number=st.integers(1, 8), wait=st.integers(0, 250))
    def carry_on(self, step: int, number: int, wait: int) -> None:
        """A gardener who knows what comes next."""
        self.today += timedelta(days=wait)
        if step < 2:
            plants = list(Plant.live.all())
            free = Tag.objects.filter(spoiled="").exclude(pollinations__struck=False).first()
            pair = {"seed_parent": plants[-1], "pollen_parent": plants[0]}
            self.attempt(record_pollination, 0, **pair, tag=free.code if free else "")
        elif step == 2 and (pod := Pollination.live.filter(seeds=None).last()):
            cup = SeedCup.live.filter(cross=pod.cross, closed_on=None).last()
            self.attempt(harvest, 0, pollination=pod, seeds=number, cup=cup if number % 2 else None)
        elif step == 3 and (cup := SeedCup.live.filter(sown__lt=F("seeds")).last()):
            self.attempt(sow, 0, cup=cup, seeds=cup.left)
        elif step == 4 and (pot := Pot.live.last()):
            self.attempt(count_up, 0, pot=pot, standing_now=pot.seeds - pot.lined_out)
        elif step == 5 and (pot := Pot.live.last()):
            place = {"bed": Bed.objects.get(), "row": 1 + number % 2, "first": number}
            self.attempt(line_out, 0, pot=pot, **place, seedlings=max(1, pot.standing // 2))
        elif step == 6 and (row := Row.live.last()):
            self.today += timedelta(days=200)
            self.attempt(select_seedling, 0, row=row, position=row.first)

    @rule(who=pick, seed=pick, pollen=pick, tag=pick, unknown=st.booleans(), stigmas=counts, d=days)
    def work_flower(
        self, who: int, seed: int, pollen: int, tag: int, unknown: bool, stigmas: int, d: int | None
    ) -> None:
        tags = [tag.code for tag in Tag.objects.all()] + ["10008", "99999994", "x"]
        self.attempt(
            record_pollination,
            who,
            seed_parent=self.one(Plant, seed),
            pollen_parent=None if pollen % 3 == 0 else self.one(Plant, pollen),
            pollen_unknown=pollen % 3 == 0 if pollen % 7 else unknown,
            tag=tags[tag % len(tags)],
            stigmas=stigmas if stigmas < 0 else 1 + stigmas % 4,
            day=self.day(d),
        )

    @precondition(some(Pollination))
    @rule(who=pick, flower=pick, pod_set=st.booleans(), reason=reasons, d=days)
    def look(self, who: int, flower: int, pod_set: bool, reason: str, d: int | None) -> None:
        pod = self.one(Pollination, flower)
        self.attempt(
            note_pod, who, pollination=pod, pod_set=pod_set, reason=reason, day=self.day(d)
        )

    @precondition(some(Pollination))
    @rule(who=pick, flower=pick, seeds=counts, cup=pick, d=days)
    def gather(self, who: int, flower: int, seeds: int, cup: int, d: int | None) -> None:
        open_cup = self.one(SeedCup, cup) if cup % 2 and SeedCup.objects.exists() else None
        pod = self.one(Pollination, flower)
        self.attempt(harvest, who, pollination=pod, seeds=seeds, cup=open_cup, day=self.day(d))

    @precondition(some(SeedCup))
    @rule(who=pick, cup=pick, seeds=counts, reason=reasons, d=days)
    def fill_pot(self, who: int, cup: int, seeds: int, reason: str, d: int | None) -> None:
        cup = self.one(SeedCup, cup)
        self.attempt(sow, who, cup=cup, seeds=seeds, more_reason=reason, day=self.day(d))

    @precondition(some(Pot))
    @rule(who=pick, pot=pick, standing=counts, reason=reasons, d=days)
    def count(self, who: int, pot: int, standing: int, reason: str, d: int | None) -> None:
        values = {"standing_now": standing, "more_reason": reason, "day": self.day(d)}
        self.attempt(count_up, who, pot=self.one(Pot, pot), **values)

    @precondition(some(Pot))
    @rule(who=pick, pot=pick, row=pick, first=counts, many=counts, reason=reasons, d=days)
    def plant_out(
        self, who: int, pot: int, row: int, first: int, many: int, reason: str, d: int | None
    ) -> None:
        place = {"bed": Bed.objects.get(), "row": row % 4, "first": first}
        values = {"seedlings": many, "more_reason": reason, "day": self.day(d)}
        self.attempt(line_out, who, pot=self.one(Pot, pot), **place, **values)

    @precondition(some(SeedCup))
    @rule(who=pick, number=pick, model=st.sampled_from([SeedCup, Pot, Row]), reason=reasons, d=days)
    def finish(self, who: int, number: int, model: type, reason: str, d: int | None) -> None:
        if model.objects.exists():
            thing = self.one(model, number)
            self.attempt(put_away, who, thing=thing, reason=reason, day=self.day(d))

    @precondition(some(Row))
    @rule(who=pick, row=pick, position=counts, d=days)
    def choose(self, who: int, row: int, position: int, d: int | None) -> None:
        row = self.one(Row, row)
        self.attempt(select_seedling, who, row=row, position=position, day=self.day(d))

    @precondition(some(Cross))
    @rule(
        who=pick, number=pick, model=st.sampled_from(THINGS), reason=reasons, data=st.data(), d=days
    )
    def amend(
        self, who: int, number: int, model: type, reason: str, data: Any, d: int | None
    ) -> None:
        if not model.objects.exists():
            return
        name = data.draw(st.sampled_from(CORRECTABLE[model]))
        kind = model._meta.get_field(name).get_internal_type()
        if name == "tag":
            value = self.one(Tag, data.draw(pick)).code
        elif name == "bed":
            value = Bed.objects.get()
        elif name == "cup":
            if not SeedCup.objects.exists():
                return
            value = self.one(SeedCup, data.draw(pick))
        elif kind == "DateField":
            value = self.day(d)
        elif kind == "BooleanField":
            value = data.draw(st.booleans())
        elif kind == "CharField":
            value = data.draw(st.sampled_from(["", "seen by Emil", "\x00"]))
        else:
            value = data.draw(st.one_of(counts, st.none()))
        thing = self.one(model, number)
        # Day and reason of putting away go together, as in the form.
        both = {"closed_reason": ""} if name == "closed_on" and value is None else {}
        both[name] = value
        self.attempt(correct, who, thing=thing, reason=reason or "mistyped", **both)

    @precondition(some(Pollination))
    @rule(who=pick, number=pick, seed=pick, pollen=pick, whole=st.booleans())
    def amend_parents(self, who: int, number: int, seed: int, pollen: int, whole: bool) -> None:
        parents = {
            "seed_parent": self.one(Plant, seed),
            "pollen_parent": None if pollen % 4 == 0 else self.one(Plant, pollen),
            "pollen_unknown": pollen % 4 == 0,
            "reason": "the label was on the next clump",
        }
        if whole:
            self.attempt(correct_cross, who, cross=self.one(Cross, number), **parents)
        else:
            flower = self.one(Pollination, number)
            self.attempt(correct_parents, who, pollination=flower, **parents)

    @rule(who=pick, plant=pick, parent=pick, strike=st.booleans())
    def tend_stock(self, who: int, plant: int, parent: int, strike: bool) -> None:
        plant = self.one(Plant, plant)
        if strike and parent % 2:
            self.attempt(strike_plant, who, plant=plant, reason="")
        else:
            parent = self.one(Plant, parent) if parent % 5 else None
            self.attempt(change_plant, who, plant=plant, seed_parent=parent)

    @rule(who=pick, what=pick, rows=st.integers(0, 4), positions=counts, reason=reasons)
    def tend_things(self, who: int, what: int, rows: int, positions: int, reason: str) -> None:
        if what % 3 == 0:
            size = {"rows": rows, "positions": positions}
            self.attempt(change_bed, who, bed=Bed.objects.get(), name="Long Bed", **size)
        elif what % 3 == 1:
            self.attempt(spoil_tag, who, tag=self.one(Tag, what), reason=reason)
        else:
            self.attempt(print_tags, who, count=positions)

    # Twice, so that taking back comes up often enough.
    @rule(who=pick, number=pick)
    def take_back(self, who: int, number: int) -> None:
        self.attempt(undo, who, line=self.one(JournalLine, number))

    @rule(who=st.just(0), number=st.integers(0, 2))
    def take_back_the_newest(self, who: int, number: int) -> None:
        self.attempt(undo, who, line=self.one(JournalLine, number))

    @invariant()
    def nothing_is_violated(self) -> None:
        for cross in Cross.live.all():
            assert list(violations(cross)) == [], cross

    @invariant()
    def sums_are_those_of_the_facts(self) -> None:
        for cup in SeedCup.live.all():
            assert cup.seeds == sum(pod.seeds for pod in Pollination.live.filter(cup=cup))
            assert cup.sown == sum(pot.seeds for pot in Pot.live.filter(cup=cup))
        for pot in Pot.live.all():
            assert (pot.up, pot.lined_out) == sums_of_pot(pot)
        for cross in Cross.live.all():
            assert sums_kept(cross) == sums_of_facts(cross), cross

    @invariant()
    def every_flower_has_its_parents(self) -> None:
        for flower in Pollination.live.select_related("cross__seed_parent", "cross__pollen_parent"):
            assert flower.cross.seed_parent is not None
            assert (flower.cross.pollen_parent is None) == flower.cross.pollen_unknown

    @invariant()
    def nothing_hangs_on_what_was_struck_out(self) -> None:
        for thing in standing_facts():
            assert thing.lost_support() == "", (thing._meta.verbose_name, thing)

    @invariant()
    def numbers_are_given_once(self) -> None:
        for model in (Cross, SeedCup, Pot, Seedling, Tag):
            codes = list(model.objects.values_list("code", flat=True))
            assert len(set(codes)) == len(codes), model

    @invariant()
    def seedlings_stand_in_their_rows(self) -> None:
        for seedling in Seedling.live.select_related("row"):
            assert seedling.row.holds(seedling.position)
            assert seedling.selected_on >= seedling.row.lined_out_on

    @invariant()
    def no_plant_is_its_own_ancestor(self) -> None:
        for plant in Plant.live.all():
            for parent in (plant.seed_parent_id, plant.pollen_parent_id):
                assert parent is None or plant.pk not in ancestors(parent)


def standing_facts() -> Iterator[Fact]:
    for model in FACTS:
        yield from model.live.all()


def sums_of_pot(pot: Pot) -> tuple[int, int]:
    """(up, lined out) of a pot, worked out the slow way."""
    counts = [count for count in pot.counts.all() if not count.struck]
    rows = [row for row in pot.rows.all() if not row.struck]
    out = sum(row.last - row.first + 1 for row in rows)
    if counts:
        before = [
            sum(
                row.last - row.first + 1
                for row in rows
                if (row.lined_out_on, row.pk) <= (count.day, count.newest_row)
            )
            for count in counts
        ]
        standing = [count.standing for count in counts]
        return max(map(sum, zip(standing, before, strict=True))), out
    return min(out, pot.seeds), out


def sums_kept(cross: Cross) -> dict[str, int]:
    names = ("flowers", "pods", "failed", "seeds", "sown", "up", "lined_out")
    return {name: getattr(cross, name) for name in names}


def sums_of_facts(cross: Cross) -> dict[str, int]:
    """The sums along one cross, worked out the slow way."""
    flowers = [flower for flower in cross.pollinations.all() if not flower.struck]
    pots = [
        pot
        for cup in cross.cups.all()
        for pot in cup.pots.all()
        if not cup.struck and not pot.struck
    ]
    pot_sums = [sums_of_pot(pot) for pot in pots]
    return {
        "flowers": len(flowers),
        "pods": sum(flower.state in ("set", "harvested") for flower in flowers),
        "failed": sum(flower.state == "failed" for flower in flowers),
        "seeds": sum(flower.seeds or 0 for flower in flowers),
        "sown": sum(pot.seeds for pot in pots),
        "up": sum(up for up, _ in pot_sums),
        "lined_out": sum(out for _, out in pot_sums),
    }


@pytest.mark.django_db
def test_the_thread_stays_whole_whatever_gardeners_try() -> None:
    run_state_machine_as_test(
        Gardeners, settings=settings(max_examples=EXAMPLES, stateful_step_count=40)
    )
