"""A garden for many writers, made and read in processes of its own.

    python -m tests.breeding.writing_garden prepare FOLDER PHONES TAGS
    python -m tests.breeding.writing_garden facts FOLDER

Both print JSON. A garden lies in FOLDER, or where HAFTBOOK_DATABASE says.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from tests.speed.archive import PASSWORD, open_folder

PAIRS = 3


def prepare(phones: int, tags: int) -> dict[str, Any]:
    """A few pairs, one open cup of each, tags, and a session a phone."""
    from breeding.models import Tag
    from breeding.records import harvest, print_tags, record_pollination
    from garden.models import Person
    from garden.records import add_plant
    from garden.verbs import Act
    from tests.speed.writers import session_of

    owner = Person.objects.create_user("Wanda", PASSWORD, role="owner")
    print_tags(Act(owner), count=tags + PAIRS)
    codes = list(Tag.objects.order_by("code").values_list("code", flat=True))
    pairs = []
    for at in range(PAIRS):
        seed, pollen = (add_plant(Act(owner), name=f"{side} {at}").thing for side in "AB")
        worked = {"seed_parent": seed, "pollen_parent": pollen, "tag": codes.pop()}
        flower = record_pollination(Act(owner), **worked).thing
        cup = harvest(Act(owner), pollination=flower, seeds=1).thing
        pairs.append({"seed": seed.pk, "pollen": pollen.pk, "cup": cup.pk})
    sessions = [session_of(owner) for _ in range(phones)]
    return {"sessions": sessions, "codes": codes, "pairs": pairs}


def facts() -> dict[str, Any]:
    """The sums that are kept, what the facts say they ought to be, and the entries kept."""
    from breeding.models import Cross, Pollination, SeedCup
    from garden.models import JournalLine

    def sums(flowers: Any) -> dict[str, int]:
        harvested = [flower.seeds for flower in flowers if flower.seeds]
        return {"flowers": len(flowers), "pods": len(harvested), "seeds": sum(harvested)}

    kept, true = {}, {}
    for cross in Cross.live.all():
        kept[cross.code] = {name: getattr(cross, name) for name in ("flowers", "pods", "seeds")}
        true[cross.code] = sums(list(Pollination.live.filter(cross=cross)))
    for cup in SeedCup.live.all():
        kept[cup.code] = cup.seeds
        true[cup.code] = sums(list(Pollination.live.filter(cup=cup)))["seeds"]
    entries = [str(entry) for entry in JournalLine.objects.values_list("entry", flat=True)]
    return {"kept": kept, "true": true, "entries": entries}


def main() -> None:
    what, folder, *numbers = sys.argv[1:]
    open_folder(str(Path(folder)))
    told = prepare(*map(int, numbers)) if what == "prepare" else facts()
    print(json.dumps(told))


if __name__ == "__main__":
    main()
