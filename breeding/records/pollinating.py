"""Verbs of bloom time: print tags, work flowers, look at pods."""

from __future__ import annotations

from datetime import date

from breeding.models import Pollination, Tag, TagBatch
from breeding.records.common import (
    check_parents,
    count_within,
    fitting,
    free_tag,
    in_order,
    standing,
    the_cross,
)
from breeding.tagnumbers import tag_codes
from garden.models import Garden, JournalLine, Plant
from garden.verbs import Act, Refused, plural, verb, written

MOST_TAGS = 2_000


@verb
def print_tags(act: Act, *, count: int) -> tuple[TagBatch, str]:
    """Give out the next `count` tag numbers; from then on they may be tied to flowers."""
    count_within(count, 1, MOST_TAGS, "count", "The number of tags")
    batch = act.make(TagBatch(printed_on=act.today, count=count))
    pairs = list(tag_codes(Garden.objects.get(pk=act.garden.pk).next_tag, count))
    Tag.objects.bulk_create(Tag(code=code, batch=batch) for _, code in pairs)
    # Numbers are never given twice, even when the sheet is struck out.
    Garden.objects.filter(pk=act.garden.pk).update(next_tag=pairs[-1][0] + 1)
    return batch, f"Made {plural(count, 'tag')}: {pairs[0][1]} to {pairs[-1][1]}"


@verb
def spoil_tag(act: Act, *, tag: Tag, reason: str) -> tuple[Tag, str]:
    """Set aside a tag that was lost or torn before it was used."""
    if not reason.strip():
        raise Refused("Write what happened to the tag.", "reason")
    act.change(free_tag(tag.code), spoiled=fitting(reason, 200, "reason"))
    return tag, f"Set aside tag {tag}: {reason.strip()}"


@verb
def record_pollination(
    act: Act,
    *,
    seed_parent: Plant,
    pollen_parent: Plant | None,
    tag: str,
    pollen_unknown: bool = False,
    stigmas: int = 3,
    falls_removed: bool = False,
    note: str = "",
    day: date | None = None,
) -> tuple[Pollination, str]:
    """Work one flower: pollen of one plant on the stigmas of another, under a tag.

    `pollen_parent` None needs `pollen_unknown`: a bee pod is chosen, never a gap. A plant on
    itself is a selfing and is allowed.
    """
    day = act.day(day)
    count_within(stigmas, 1, 3, "stigmas", "Stigmas worked")
    check_parents(seed_parent, pollen_parent, pollen_unknown)
    the_tag = free_tag(tag)
    cross = the_cross(act, day, seed_parent, pollen_parent)
    pollination = act.make(
        Pollination(
            cross=cross,
            tag=the_tag,
            day=day,
            stigmas=stigmas,
            falls_removed=falls_removed,
            note=fitting(note, 1000, "note"),
        )
    )
    act.mention(the_tag, seed_parent, pollen_parent)
    pair = "selfed" if seed_parent == pollen_parent else f"× {pollen_parent or 'unknown'}"
    return pollination, f"{cross}: {seed_parent} {pair}, tag {the_tag}"


@verb
def note_pod(
    act: Act, *, pollination: Pollination, pod_set: bool, reason: str = "", day: date | None = None
) -> tuple[Pollination, str]:
    """Note whether the flower has set a pod; a failure carries its reason."""
    pollination = Pollination.objects.select_related("cross", "tag").get(pk=pollination.pk)
    day = act.day(day)
    standing(pollination, "This flower")
    if pollination.state == Pollination.State.HARVESTED:
        raise Refused(f"The pod of tag {pollination.tag} is already harvested.")
    in_order(pollination.day, day, "the flower was worked")
    reason = fitting(reason, 200, "reason")
    if not pod_set and not reason:
        raise Refused("Say how it failed.", "reason")
    state = Pollination.State.SET if pod_set else Pollination.State.FAILED
    _not_overtaken(act, pollination, state, day)
    act.change(
        pollination,
        state=state,
        looked_on=day,
        fail_reason="" if pod_set else reason,
    )
    act.mention(pollination.cross, pollination.tag)
    told = "a pod has set" if pod_set else f"failed, {reason}"
    return pollination, f"{pollination.cross}, tag {pollination.tag}: {told} ({written(day)})"


def _not_overtaken(act: Act, flower: Pollination, state: str, day: date) -> None:
    """Refuse a look that comes in behind a later one which saw the contrary: a person decides."""
    if flower.looked_on is None or state == flower.state:
        return
    later = (
        flower.looked_on > day
        or JournalLine.objects.filter(
            mentions__kind=flower.record_kind,
            mentions__thing_id=flower.pk,
            verb="note_pod",
            undone_by=None,
            happened_at__gt=act.happened_at,
        ).exists()
    )
    if later:
        seen = "a pod had set" if flower.state == Pollination.State.SET else flower.fail_reason
        raise Refused(
            f"Somebody looked at tag {flower.tag} after this, on {written(flower.looked_on)}: "
            f"{seen}. That stands. If this is right all the same, look again."
        )
