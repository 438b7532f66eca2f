"""What several verbs need: tags looked up, numbers given, dates held in order."""

from __future__ import annotations

from datetime import date

from django.db.models import Max

from breeding.models import Cross, Tag
from breeding.tagnumbers import read_tag
from garden.models import Plant
from garden.verbs import Act, Refused, written


def free_tag(text: str) -> Tag:
    """The printed tag with that number that hangs nowhere yet; Refused says which way it fails."""
    tag = printed_tag(text)
    if tag.spoiled:
        raise Refused(f"Tag {tag} was set aside: {tag.spoiled}.", "tag")
    hanging = tag.pollinations.filter(struck=False)
    # Nearly every tag is free: that alone is asked in bloom time.
    if hanging.exists():
        used = hanging.select_related("cross").get()
        raise Refused(
            f"Tag {tag} already hangs on a flower of {used.cross}, worked on {written(used.day)}.",
            "tag",
        )
    return tag


def printed_tag(text: str) -> Tag:
    """The tag with that number; Refused when it is mistyped or was never printed."""
    try:
        code = read_tag(text)
    except ValueError as error:
        raise Refused(str(error), "tag") from None
    tag = Tag.live.filter(code=code, batch__struck=False).first()
    if tag is None:
        raise Refused(f"Tag {code} was never printed in this garden.", "tag")
    return tag


def the_cross(act: Act, day: date, seed_parent: Plant, pollen_parent: Plant | None) -> Cross:
    """This season's cross of the two, made with the next number when it is the first flower."""
    season = act.garden.calendar.season(day)
    cross = Cross.live.filter(
        season=season, seed_parent=seed_parent, pollen_parent=pollen_parent
    ).first()
    if cross:
        act.mention(cross)
        return cross
    last = Cross.objects.filter(season=season).aggregate(last=Max("number"))["last"] or 0
    code = f"{season % 100:02d}-{last + 1:03d}"
    if other := Cross.objects.filter(code=code).first():
        raise Refused(f"{code} is a cross of {other.season}: that season and {season} end alike.")
    return act.make(
        Cross(
            season=season,
            number=last + 1,
            code=code,
            seed_parent=seed_parent,
            pollen_parent=pollen_parent,
            pollen_unknown=pollen_parent is None,
        )
    )


def check_parents(seed_parent: Plant, pollen_parent: Plant | None, pollen_unknown: bool) -> None:
    """Refuse a parent that was struck out, and a pollen parent neither chosen nor unknown."""
    parents = {"seed_parent": seed_parent, "pollen_parent": pollen_parent}
    keys = [plant.pk for plant in parents.values() if plant is not None]
    gone = Plant.objects.filter(pk__in=keys, struck=True).order_by()
    struck = set(gone.values_list("pk", flat=True))
    for name, plant in parents.items():
        if plant is not None and plant.pk in struck:
            raise Refused(f"{plant} was struck out of the stock.", name)
    if (pollen_parent is None) != pollen_unknown:
        raise Refused("Choose the pollen parent, or say that it is unknown.", "pollen_parent")


def in_order(earlier: date | None, later: date, what: str, name: str = "day") -> None:
    """Refuse `later` when it lies before `earlier`; `what` says what happened then."""
    if earlier and later < earlier:
        raise Refused(f"{written(later)} is before {what} on {written(earlier)}.", name)


def standing(fact: object, what: str) -> None:
    """Refuse to go on with something struck out or put away."""
    if getattr(fact, "struck", False):
        raise Refused(f"{what} was struck out.")
    if getattr(fact, "closed_on", None):
        raise Refused(f"{what} was put away on {written(fact.closed_on)}.")


def count_within(count: int, least: int, most: int, name: str, what: str) -> int:
    """Refuse a count outside least..most."""
    if not least <= count <= most:
        raise Refused(f"{what} must be from {least} to {most}.", name)
    return count


def no_growth(over: int, reason: str, sentence: str, name: str = "more_reason") -> str:
    """A count may pass the one before it only with a written reason; give back that reason."""
    if over <= 0:
        return ""
    if not reason.strip():
        raise Refused(f"{sentence} If it is right, write why.", name)
    return fitting(reason, 200, name)


def fitting(text: str, most: int, name: str) -> str:
    """Refuse a text that would have to be cut; nobody's words are shortened silently."""
    text = text.strip()
    if len(text) > most:
        raise Refused(f"{len(text)} letters are too many: at most {most}.", name)
    return text
