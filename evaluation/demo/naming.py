"""On the way to a name in the story: a few chosen seedlings measured, proposed for. No Django."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from functools import partial

from evaluation.demo.diary import DESK
from evaluation.demo.steps import Ref, Step
from evaluation.demo.thefew import TheFew

# (name, where it comes from): the second one gets a sentence from the rules.
PROPOSED = (
    ("Lantern on the Weir", "the lamp at the sluice, seen through the row"),
    ("Best Blue by far", "what Tjark said when it opened"),
)
DROPPED_BECAUSE = "praise, and it is violet"
GIVEN = ("Wren under Glass", "the bird that got into the frame", "short, and nobody has it here")


class Naming(TheFew):
    """Two of the chosen on their way: one gets a name, one has names proposed."""

    def put_on_names(self, seasons: range) -> None:
        if len(seasons) > 5:
            evenings = (
                (date(seasons[4], 11, 8), "named", self.name_one),
                (date(seasons[5], 6, 3), "measures", self.measure_some),
                (date(seasons[5], 7, 2), "names", self.propose_some),
            )
            for day, name, telling in evenings:
                self.on(day, partial(self.apart, name, partial(telling, seasons)))

    def on_the_way(self, seasons: range) -> list[str]:
        """Keys of chosen seedlings that stay, the longest known first."""
        stays = {judged.key for judged in self.noted if judged.key and judged.stays}
        keys = [key for season in seasons for key in self.chosen.get(season, [])]
        return [key for key in keys if key in stays][:2]

    def measure_some(self, seasons: range) -> Iterator[Step]:
        for key in filter(self.is_tall, self.on_the_way(seasons)):
            yield self.step(
                "measure", plant=Ref(key, "plant"), branches=self.dice.randint(3, 4),
                buds=self.dice.randint(7, 10), height_cm=self.dice.randint(84, 97),
                flower_height_mm=self.dice.randint(118, 135),
                flower_width_mm=self.dice.randint(120, 142),
            )  # fmt: skip

    def is_tall(self, key: str) -> bool:
        """Whether the seedling is a tall bearded one by its height."""
        looks = next(judged.looks for judged in self.noted if judged.key == key)
        return int(str(looks["height_cm"])) > 75

    def name_one(self, seasons: range) -> Iterator[Step]:
        """The longest known one gets its name in a November evening."""
        name, note, why = GIVEN
        for key in self.on_the_way(seasons)[:1]:
            yield self.step(
                "propose_name", f"name:{name}", at=DESK, by=self.owner, plant=Ref(key, "plant"),
                text=name, note=note,
            )  # fmt: skip
            yield self.step(
                "give_name", at=DESK, by=self.owner, proposed=Ref(f"name:{name}"), reason=why
            )

    def propose_some(self, seasons: range) -> Iterator[Step]:
        """Two names for the next one; one of them is dropped again."""
        for key in self.on_the_way(seasons)[1:2]:
            for name, note in PROPOSED:
                yield self.step(
                    "propose_name", f"name:{name}", at=DESK, plant=Ref(key, "plant"), text=name,
                    note=note,
                )  # fmt: skip
            yield self.step(
                "drop_name", at=DESK, by=self.owner, proposed=Ref(f"name:{PROPOSED[1][0]}"),
                reason=DROPPED_BECAUSE,
            )  # fmt: skip
