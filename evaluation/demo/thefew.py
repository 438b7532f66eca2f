"""The few of the story: own seedlings counted year by year, sent out, offered. Free of Django."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from functools import partial

from evaluation.demo.bloom import BloomTime
from evaluation.demo.diary import DESK
from evaluation.demo.steps import Ref, Step

# From so many fans on a clump is divided; what stays is a good trade.
DIVIDED_FROM, LEFT = 11, (4, 6)
USUAL_GROWTH, BETWEEN_PLANTS, BETWEEN_YEARS = 0.72, 0.15, 0.25
ELSEWHERE = "Garden on the Old Dyke"
PRICES = (Decimal("28.00"), Decimal("24.00"), Decimal("22.50"))


class TheFew(BloomTime):
    """Fans of the owner's own seedlings, and what became of some of them."""

    def own_rows(self) -> list[dict[str, str]]:
        """Own seedlings of the plant list that stand in a bed from the beginning."""
        return [
            row for row in self.cast.rows
            if row["kind"] == "seedling" and row["bed"] and 0 < int(row["year"] or 0) <= self.first
        ]  # fmt: skip

    def put_on_the_few(self, seasons: range) -> None:
        """Counts at the end of each summer; in the third one goes out, after the fifth two are
        offered."""
        self.fans = {row["number"]: int(row["increases"]) for row in self.own_rows()}
        for season in seasons:
            count = partial(self.apart, f"increase {season}", self.count_the_few)
            self.on(date(season, 8, 30), count)
        if len(seasons) > 4 and len(self.fans) > 3:
            offer = partial(self.offer_some, seasons[4] + 1)
            self.on(date(seasons[2], 9, 12), partial(self.apart, "guest", self.send_one))
            self.on(date(seasons[4], 7, 9), partial(self.apart, "report", self.hear_of_it))
            self.on(date(seasons[4], 12, 5), partial(self.apart, "offers", offer))

    def count_the_few(self) -> Iterator[Step]:
        """Each place counted once; a large clump is divided."""
        for row in self.own_rows():
            yield self.count_one(row)

    def count_one(self, row: dict[str, str]) -> Step:
        number, dice = row["number"], self.dice
        # How a plant grows is its own, whatever the year.
        own = (sum(map(ord, number)) % 7 - 3) / 3 * BETWEEN_PLANTS
        year = dice.gauss(USUAL_GROWTH + own, BETWEEN_YEARS)
        grown, values = max(1, round(self.fans[number] * 2.718**year)), {}
        if grown >= DIVIDED_FROM:
            stays = dice.randint(*LEFT)
            values = {"taken": grown - stays, "fate": dice.choice(["lined", "given", "sold"])}
            grown = stays
        self.fans[number] = grown
        return self.step(
            "count_stock", by=self.owner, plant=Ref(f"plant:{number}"), number=grown,
            bed=Ref(f"bed:{row['bed']}"), position=row["position"], **values,
        )  # fmt: skip

    def send_one(self) -> Iterator[Step]:
        row = self.own_rows()[1]
        self.fans[row["number"]] = max(1, self.fans[row["number"]] - 2)
        yield self.step(
            "send_guest", "guest:dyke", by=self.owner, at=DESK, plant=Ref(f"plant:{row['number']}"),
            garden_name=ELSEWHERE, terms="test", number=2, bed=Ref(f"bed:{row['bed']}"),
            position=row["position"], note="two years, then a letter",
        )  # fmt: skip

    def hear_of_it(self) -> Iterator[Step]:
        report = "Bloomed with two stalks in a wet spring; stood upright. Leaf spot on old fans."
        yield self.step(
            "note_guest", by=self.owner, at=DESK, guest=Ref("guest:dyke"), report=report
        )

    def offer_some(self, year: int) -> Iterator[Step]:
        """The coming year's list: the newest own cultivars, and one under number."""
        named = [
            row["name"] for row in self.cast.rows
            if row["breeder"].startswith(self.owner) and row["name"]
            and 0 < int(row["year"] or 0) <= self.first
        ]  # fmt: skip
        chosen = [*named[-2:], self.own_rows()[2]["number"]]
        for place, (name, price) in enumerate(zip(chosen, PRICES, strict=False), 1):
            yield self.step(
                "introduce", by=self.owner, at=DESK, plant=Ref(f"plant:{name}"), year=year,
                price=price, currency="EUR", quantity=6 + 2 * place, place=place,
            )  # fmt: skip
