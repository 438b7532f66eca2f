"""Every page of the site, as addresses in the small garden of the tests."""

from __future__ import annotations

from django.urls import reverse

from tests.cast import Cast

# What somebody opens outdoors with wet hands.
FIELD = (
    "today", "due-look", "new-cross", "new-cross-chosen", "look", "harvest", "sow", "count",
    "line-out", "tag", "tag-free", "look-up", "look-up-found", "select-seedling",
)  # fmt: skip


def addresses(cast: Cast) -> dict[str, str]:
    """Name of a page -> its address; field pages first."""
    plant, bee = cast.teapot, cast.bee_flower
    chosen = f"?seed={plant.pk}&pollen={cast.ledger.pk}"
    return {
        "today": reverse("today"),
        "due-look": reverse("due", args=["look"]),
        "new-cross": reverse("new-cross"),
        "new-cross-chosen": reverse("new-cross") + chosen,
        "look": reverse("look", args=[bee.pk]),
        "harvest": reverse("harvest", args=[bee.pk]),
        "sow": reverse("sow", args=[cast.cup.code]),
        "count": reverse("count", args=[cast.pot.code]),
        "line-out": reverse("line-out", args=[cast.pot.code]),
        "tag": reverse("tag", args=[cast.flower.tag.code]),
        "tag-free": reverse("tag", args=[cast.free_tag]),
        "look-up": reverse("look-up"),
        "look-up-found": reverse("look-up") + "?q=teapot",
        "select-seedling": reverse("select-seedling", args=[cast.row.pk]),
        "cross": reverse("cross", args=[cast.cross.code]),
        "cross-parents": reverse("cross-parents", args=[cast.cross.code]),
        "flower-parents": reverse("flower-parents", args=[bee.pk]),
        "correct-flower": reverse("correct", args=["flower", cast.flower.pk]),
        "put-away": reverse("put-away", args=["pot", cast.pot.pk]),
        "cup": reverse("cup", args=[cast.cup.code]),
        "pot": reverse("pot", args=[cast.pot.code]),
        "row": reverse("row", args=[cast.row.pk]),
        "bed-row": reverse("bed-row", args=[cast.bed.pk, 1]),
        "seasons": reverse("seasons"),
        "season": reverse("season", args=[cast.cross.season]),
        "tags": reverse("tags"),
        "tag-spoil": reverse("tag-spoil", args=[cast.free_tag]),
        "calendar": reverse("calendar"),
        "plant": reverse("plant", args=[plant.pk]),
        "plant-new": reverse("plant-new"),
        "plant-change": reverse("plant-change", args=[plant.pk]),
        "plant-place": reverse("plant-place", args=[plant.pk]),
        "plant-strike": reverse("plant-strike", args=[plant.pk]),
        "plants": reverse("plants"),
        "plant-import": reverse("plant-import"),
        "beds": reverse("beds"),
        "bed": reverse("bed", args=[cast.bed.pk]),
        "bed-new": reverse("bed-new"),
        "bed-change": reverse("bed-change", args=[cast.bed.pk]),
        "book": reverse("book"),
        "journal": reverse("journal"),
        "people": reverse("people"),
        "person-new": reverse("person-new"),
        "password": reverse("password"),
        "garden-settings": reverse("garden-settings"),
    }
