"""Every page of the site, as addresses in the small garden of the tests."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

from django.urls import get_resolver, resolve, reverse

from breeding.models import Bloom, Goal, Locus, PlannedCross, Pollen, PotCount, Tally
from breeding.records import add_goal, count_types, note_bloom, plan_crosses, store_pollen
from evaluation.models import Candidate, ProposedName, Rubric, Scoring, Seedling
from evaluation.records import propose_name, score, select_seedling
from garden.models import (
    Garden,
    GuestSent,
    Introduction,
    JournalLine,
    Person,
    Photo,
    Placing,
    StockCount,
    StockTaken,
)
from garden.photos import clean
from garden.records import add_photo, count_stock, introduce, place_plant, send_guest
from tests.browser.labelled import label_files, label_pages
from tests.cast import IN_BLOOM, LINED_OUT, PASSWORD, Cast, act_of
from tests.photos import drawn, encoded

# What somebody opens outdoors with wet hands.
FIELD = (
    "today", "due-look", "new-cross", "new-cross-chosen", "look", "harvest", "sow", "count",
    "line-out", "tag", "tag-free", "look-up", "look-up-found", "select-seedling", "judging",
    "walk-row", "score-seedling", "bloom-walk", "bloom-note", "pollen", "pollen-new",
    "pollen-finish", "count-types", "note-type", "to-cross", "waiting",
    "scan", "scan-wrong", "in-bed", "tag-look", "tag-harvest", "measure", "stock-walk",
    "count-stock", "take-out",
)  # fmt: skip
# The pages that hold a form which records something.
OWNER_FORMS = (
    "person-new", "person-change", "garden-settings", "rubric-change", "rubric-new",
    "locus-change", "locus-new", "label-address",
)  # fmt: skip
RECORD_FORMS = (
    "new-cross", "look", "harvest", "sow", "count", "line-out", "select-seedling", "cross-parents",
    "flower-parents", "correct-flower", "correct-cross", "correct-cup", "correct-pot",
    "correct-count", "correct-row", "put-away-cup", "put-away-pot", "put-away-row", "tags",
    "tag-spoil", "plant-new", "plant-change", "plant-place", "plant-strike", "plant-import",
    "bed-new", "bed-change", "seedling-correct", "placing-correct", "read-parentage",
    "photo-new", "photo-correct", "photo-strike", "decide", "decide-many",
    "walk-row", "score-seedling", "score-seedling-short", "score-plant", "score-correct",
    "clear-out-row", "bloom-note", "bloom-correct", "pollen-new", "pollen-finish",
    "count-types", "note-type", "goal-new", "goal-change", "goal-weigh", "goal-close", "plan-pairs",
    "planned-change", "planned-drop", "phone-new", "tag-look", "tag-harvest",
    "count-stock", "take-out", "stock-count-correct", "taken-correct", "guest-new", "guest-news",
    "guest-correct", "introduction-new", "introduction-change", "introduction-withdraw",
    "label-print", "label-sheet", "label-sheet-new", "label-sheet-change",
    "name-propose", "name-drop", "name-give", "measure",
)  # fmt: skip
FORMS = (*RECORD_FORMS, *OWNER_FORMS, "password")
# Forms whose answer is a part of the page.
PART_FORMS = ("walk-row",)
# Addresses that are no page of their own, and what they are.
NO_PAGES = {
    "sign-in": "the door, which somebody who is in passes over",
    "sign-out": "only posted to",
    "worker": "a script",
    "undo": "only posted to",
    "hello": "a phone asks whether the garden is there",
    "backup-now": "only posted to",
    "backup-file": "a file",
    "out-folder": "a file",
    "out-onefile": "a file",
    "out-passport": "a file",
    "out-pedigree": "a file",
    "out-graph": "a file",
    "phone-waited-for": "a part of the page that shows a phone its code",
    "phone-out": "only posted to",
    "calendar-renew": "only posted to",
    "parent": "a part of the cross form",
    "answers": "a part of the cross form",
    "tag-said": "a part of the cross form",
    "kin-line": "a part of the cross form",
    "kin-answers": "a part of the pages of kinship",
    "expect-line": "a part of the cross form",
    "expect-answers": "a part of the page of a cross to come",
    "plant-offer": "a part of the plant form",
    "flower-preview": "a part of the plant form",
    "feed": "a file",
    "funnel-plot": "a file",
    "tag-sheet": "a file",
    "pedigree-pdf": "a file",
    "web-pdf": "a file",
    "plant-import-example": "a file",
    "photo-file": "a file",
    "merit-plot-image": "a file",
    "catalogue-pdf": "a file",
    "catalogue-csv": "a file",
    "rubric-preview": "a part of the rubric form",
    "rubric-criterion": "a part of the rubric form",
    "clear-out-pdf": "a file",
    "resets-pdf": "a file",
    "bed-map-pdf": "a file",
    "to-cross-pdf": "a file",
    "season-pdf": "a file",
    "row-walk-pdf": "a file",
    "bed-row-walk-pdf": "a file",
    "row-at": "leads on to a seedling or to the walk",
    "locus-type": "a part of the form of a locus",
    "locus-looks": "a part of the form of a locus",
    "locus-use": "only posted to",
    "copies-line": "a part of the plant's page",
    "bed-list": "a list for the phone",
    "label-run-pdf": "a file",
    "label-sheet-test": "a file",
    "scan-code": "leads on to the thing of a code",
    "name-told": "a part of the pages of names",
    "dossier-pdf": "a file",
}
NOWHERE = "/nothing-here/"


def a_seedling(cast: Cast) -> Seedling:
    """A selected seedling of the row, selected now if none is."""
    owner = Person.objects.get(role="owner")
    day = IN_BLOOM - timedelta(days=1)
    return Seedling.live.filter(row=cast.row).first() or (
        select_seedling(act_of(owner, day), row=cast.row, position=3, reason="ruffled").thing
    )


def a_placing(cast: Cast) -> Placing:
    """Where the teapot stands, noted now if nobody has."""
    act = act_of(Person.objects.get(role="owner"), IN_BLOOM - timedelta(days=1))
    return Placing.live.filter(plant=cast.teapot).first() or (
        place_plant(act, plant=cast.teapot, bed=cast.bed, position="4").thing
    )


def a_candidate(cast: Cast) -> Candidate:
    """A seedling of the row that somebody scored, scored now if nobody did."""
    known = Candidate.live.filter(row=cast.row, scores__gt=0, plant=None).first()
    return known or (
        score(
            act_of(Person.objects.get(role="owner"), IN_BLOOM - timedelta(days=1)),
            rubric=Rubric.live.get(purpose="full", replaced_by=None),
            row=cast.row,
            position=5,
            marks={"form": 4, "vigour": 3, "novelty": 2},
            stalk="T3 B2 B2 S1",
            note="broad falls",
        ).thing.candidate
    )


def a_photo(cast: Cast) -> Photo:
    """A photo of the teapot, taken now if nobody has."""
    act = act_of(Person.objects.get(role="owner"), IN_BLOOM - timedelta(days=1))
    return Photo.live.filter(plant=cast.teapot).first() or (
        add_photo(
            act, plant=cast.teapot, photo=clean(encoded(drawn())), caption="the third flower"
        ).thing
    )


def the_walk_rubric() -> Rubric:
    """The newest short rubric."""
    return Rubric.live.get(purpose="walk", replaced_by=None)


def somebody_else() -> Person:
    """Somebody whom the owner let in, let in now if nobody was."""
    others = Person.objects.exclude(role="owner").order_by("pk")
    return others.first() or Person.objects.create_user("Emil", PASSWORD, role="helper")


def addresses(cast: Cast) -> dict[str, str]:
    """Name of a page -> its address; field pages first."""
    return {
        **field_pages(cast), **thread_pages(cast), **house_pages(cast), **choosing_pages(cast),
        **walking_pages(cast), **spade_pages(cast), **bloom_pages(cast),
        **label_pages(cast), **expect_pages(cast), **copies_pages(cast), **plan_pages(cast),
        **naming_pages(cast), **increase_pages(cast),
    }  # fmt: skip


def field_pages(cast: Cast) -> dict[str, str]:
    bee = cast.bee_flower
    chosen = f"?seed={cast.teapot.pk}&pollen={cast.ledger.pk}"
    return {
        "today": reverse("today"),
        "due-look": reverse("due", args=["look"]),
        "new-cross": reverse("new-cross"),
        "new-cross-chosen": reverse("new-cross") + chosen,
        "look": reverse("look", args=[bee.pk]),
        "harvest": reverse("harvest", args=[bee.pk]),
        "tag-look": reverse("tag-look", args=[bee.tag.code]),
        "tag-harvest": reverse("tag-harvest", args=[bee.tag.code]),
        "in-bed": reverse("in-bed"),
        "sow": reverse("sow", args=[cast.cup.code]),
        "count": reverse("count", args=[cast.pot.code]),
        "line-out": reverse("line-out", args=[cast.pot.code]),
        "tag": reverse("tag", args=[cast.flower.tag.code]),
        "tag-free": reverse("tag", args=[cast.free_tag]),
        "look-up": reverse("look-up"),
        "look-up-found": reverse("look-up") + "?q=teapot",
        "select-seedling": reverse("select-seedling", args=[cast.row.pk]),
    }


def thread_pages(cast: Cast) -> dict[str, str]:
    count = PotCount.live.filter(pot=cast.pot).latest("pk")
    things = {"cross": cast.cross, "flower": cast.flower, "cup": cast.cup, "pot": cast.pot,
              "count": count, "row": cast.row}  # fmt: skip
    return {
        "cross": reverse("cross", args=[cast.cross.code]),
        "cross-parents": reverse("cross-parents", args=[cast.cross.code]),
        "web": reverse("web", args=[cast.cross.code]),
        "flower-parents": reverse("flower-parents", args=[cast.bee_flower.pk]),
        **{
            f"correct-{kind}": reverse("correct", args=[kind, thing.pk])
            for kind, thing in things.items()
        },
        **{
            f"put-away-{kind}": reverse("put-away", args=[kind, things[kind].pk])
            for kind in ("cup", "pot", "row")
        },
        "cup": reverse("cup", args=[cast.cup.code]),
        "pot": reverse("pot", args=[cast.pot.code]),
        "row": reverse("row", args=[cast.row.pk]),
        "bed-row": reverse("bed-row", args=[cast.bed.pk, 1]),
        "seedling": reverse("seedling", args=[a_seedling(cast).code]),
        "seedling-correct": reverse("seedling-correct", args=[a_seedling(cast).code]),
        "seasons": reverse("seasons"),
        "season": reverse("season", args=[cast.cross.season]),
        "tags": reverse("tags"),
        "tag-spoil": reverse("tag-spoil", args=[cast.free_tag]),
        "calendar": reverse("calendar"),
    }


def house_pages(cast: Cast) -> dict[str, str]:
    plant = cast.teapot.pk
    return {
        "plant": reverse("plant", args=[plant]),
        "plant-new": reverse("plant-new"),
        "plant-change": reverse("plant-change", args=[plant]),
        "plant-place": reverse("plant-place", args=[plant]),
        "placing-correct": reverse("placing-correct", args=[a_placing(cast).pk]),
        "plant-strike": reverse("plant-strike", args=[plant]),
        "photo": reverse("photo", args=[a_photo(cast).pk]),
        "photo-new": reverse("photo-new", args=[plant]),
        "photo-correct": reverse("photo-correct", args=[a_photo(cast).pk]),
        "photo-strike": reverse("photo-strike", args=[a_photo(cast).pk]),
        "pedigree": reverse("pedigree", args=[cast.oboe.pk]),
        "pedigree-below": reverse("pedigree", args=[plant]) + "?kind=descendants&depth=2",
        "read-parentage": reverse("read-parentage", args=[plant]),
        "kin-of": reverse("kin-of", args=[cast.oboe.pk]),
        "kin-pair": reverse("kin-pair"),
        "kin-pair-chosen": reverse("kin-pair") + f"?a={cast.oboe.pk}&b={plant}",
        "kin-map": reverse("kin-map"),
        "plants": reverse("plants"),
        "plant-import": reverse("plant-import"),
        "beds": reverse("beds"),
        "bed": reverse("bed", args=[cast.bed.pk]),
        "bed-new": reverse("bed-new"),
        "bed-change": reverse("bed-change", args=[cast.bed.pk]),
        "book": reverse("book"),
        "journal": reverse("journal"),
        "waiting": reverse("waiting"),
        "waiting-take-in": reverse("waiting-take-in"),
        "people": reverse("people"),
        "person-new": reverse("person-new"),
        "person-change": reverse("person-change", args=[somebody_else().pk]),
        "password": reverse("password"),
        "backups": reverse("backups"),
        "everything-out": reverse("everything-out"),
        "garden-settings": reverse("garden-settings"),
        "phones": reverse("phones"),
        "phone-new": reverse("phone-new"),
        "at-the-door": reverse("at-the-door"),
    }


def choosing_pages(cast: Cast) -> dict[str, str]:
    one = a_candidate(cast).pk
    two = f"?c={one}&c={a_seedling(cast).plant.candidates.get().pk}"
    return {
        "candidates": reverse("candidates"),
        "candidate": reverse("candidate", args=[one]),
        "compare": reverse("compare") + two,
        "decide": reverse("decide", args=[one]) + "?verdict=watch",
        "decide-many": reverse("decide-many") + two + "&verdict=watch",
        "merit-plot": reverse("merit-plot"),
        "rubrics": reverse("rubrics"),
        "rubric": reverse("rubric", args=[the_walk_rubric().pk]),
        "rubric-change": reverse("rubric-change", args=[the_walk_rubric().pk]),
        "rubric-new": reverse("rubric-new") + f"?from={the_walk_rubric().pk}",
        "scorers": reverse("scorers"),
        "worths": reverse("worths"),
    }


def walking_pages(cast: Cast) -> dict[str, str]:
    scoring = Scoring.live.filter(candidate=a_candidate(cast)).first()
    short = Rubric.live.get(purpose="walk", replaced_by=None).pk
    seedling = reverse("score-seedling", args=[cast.row.pk, 7])
    return {
        "judging": reverse("judging"),
        "walk-row": reverse("walk-row", args=[cast.row.pk]),
        "score-seedling": seedling,
        "score-seedling-short": f"{seedling}?rubric={short}&walk=1",
        "score-plant": reverse("score-plant", args=[cast.teapot.pk]),
        "score-correct": reverse("score-correct", args=[scoring.pk]),
    }


def spade_pages(cast: Cast) -> dict[str, str]:
    return {
        "clear-out": reverse("clear-out"),
        "clear-out-row": reverse("clear-out-row", args=[cast.row.pk]),
        "resets": reverse("resets"),
        "cross-seedlings": reverse("cross-seedlings", args=[cast.cross.code]),
        "sheets": reverse("sheets"),
    }


def a_bloom(cast: Cast) -> Bloom:
    """The postman's bloom of last spring, noted now if nobody did."""
    owner, known = Person.objects.get(role="owner"), Bloom.live.filter(plant=cast.postman)
    for stage, day in (("first", IN_BLOOM - timedelta(days=9)), ("peak", IN_BLOOM)):
        if not known.filter(**{f"{stage}_on__isnull": False}).exists():
            note_bloom(act_of(owner, day), plant=cast.postman, stage=stage)
    return known.get()


def a_jar(cast: Cast) -> Pollen:
    """Pollen of the postman in store, put by now if there is none."""
    act = act_of(Person.objects.get(role="owner"), IN_BLOOM)
    return Pollen.live.filter(plant=cast.postman, ended_on=None).first() or (
        store_pollen(act, plant=cast.postman, place="Freezer, blue box").thing
    )


def bloom_pages(cast: Cast) -> dict[str, str]:
    bloom, year = a_bloom(cast), IN_BLOOM.year
    season = reverse("bloom-season", args=[year])
    return {
        "bloom-walk": reverse("bloom-walk") + f"?on={IN_BLOOM.isoformat()}",
        "bloom-walk-beds": reverse("bloom-walk") + "?bed=all",
        "bloom-note": reverse("bloom-note", args=[cast.teapot.pk]),
        "bloom-correct": reverse("bloom-correct", args=[bloom.pk]),
        "bloom-season": season,
        "bloom-season-chosen": f"{season}?plant={cast.postman.pk}",
        "plant-bloom": reverse("plant-bloom", args=[cast.postman.pk]),
        "pollen": reverse("pollen"),
        "pollen-new": reverse("pollen-new"),
        "pollen-finish": reverse("pollen-finish", args=[a_jar(cast).pk]),
        "fertility": reverse("fertility"),
    }


def expect_pages(cast: Cast) -> dict[str, str]:
    """What the teapot and the ledger may give, and what came of them at one locus."""
    act = act_of(Person.objects.get(role="owner"), IN_BLOOM - timedelta(days=1))
    if not Tally.live.filter(cross=cast.cross).exists():
        ground = Locus.live.get(symbol="Y")
        counts = {"yellow": 7, "white": 4}
        count_types(act, cross=cast.cross, row=cast.row, locus=ground, counts=counts)
    pair = f"?seed={cast.teapot.pk}&pollen={cast.ledger.pk}&worked=1"
    return {
        "expect": reverse("expect"),
        "expect-chosen": reverse("expect") + pair,
        "expect-asked": f"{reverse('expect')}{pair}&wanted=t:pink&least=3&testers=seed",
        "came": reverse("came", args=[cast.cross.code]) + "?worked=1",
        "count-types": reverse("count-types", args=[cast.cross.code]) + "?locus=Is",
    }


def copies_pages(cast: Cast) -> dict[str, str]:
    plant, locus = reverse("plant-copies", args=[cast.teapot.pk]), reverse("locus", args=["t"])
    return {
        "loci": reverse("loci"),
        "locus": locus,
        "locus-worked": f"{locus}?worked=1",
        "locus-new": reverse("locus-new"),
        "locus-change": reverse("locus-change", args=["V"]),
        "plant-copies": plant,
        "plant-copies-testers": f"{plant}?testers=t",
        "note-type": reverse("note-type", args=[cast.teapot.pk, "Pl"]),
    }


def a_planned_cross(cast: Cast) -> PlannedCross:
    """A cross planned for a goal, written down and planned now if there is none."""
    owner, today = Person.objects.get(role="owner"), Garden.get().today()
    known = PlannedCross.live.filter(dropped_on=None, goal__isnull=False).first()
    if known:
        return known
    goal = Goal.live.first() or (
        add_goal(
            act_of(owner, today), name="Pink of good form", wanted=[["t", "pink"]], crosses=2
        ).thing
    )
    season, pair = Garden.get().calendar.season(today), (cast.teapot, cast.ledger, 3)
    plan_crosses(act_of(owner, today), pairs=[pair], season=season, goal=goal)
    return PlannedCross.live.get(goal=goal)


def plan_pages(cast: Cast) -> dict[str, str]:
    planned = a_planned_cross(cast)
    goal = [planned.goal_id]
    tried = "?w_merit=2&limit=0.2"
    return {
        "goals": reverse("goals"),
        "goal": reverse("goal", args=goal),
        "goal-tried": reverse("goal", args=goal) + tried,
        "goal-set": reverse("goal-set", args=goal),
        "goal-curve": reverse("goal-curve", args=goal),
        "goal-new": reverse("goal-new"),
        "goal-change": reverse("goal-change", args=goal),
        "goal-weigh": reverse("goal-weigh", args=goal) + tried,
        "goal-close": reverse("goal-close", args=goal),
        "plan-pairs": reverse("plan-pairs", args=goal) + f"?pair={cast.oboe.pk}-{cast.guest.pk}",
        "to-cross": reverse("to-cross"),
        "planned-change": reverse("planned-change", args=[planned.pk]),
        "planned-drop": reverse("planned-drop", args=[planned.pk]),
    }


def a_proposed_name(cast: Cast) -> ProposedName:
    """A name for the selected seedling, proposed now if none is."""
    plant, owner = a_seedling(cast).plant, Person.objects.get(role="owner")
    return ProposedName.live.filter(plant=plant).first() or (
        propose_name(
            act_of(owner, IN_BLOOM), plant=plant, text="Lantern over light Water", note="the lamp"
        ).thing
    )


def naming_pages(cast: Cast) -> dict[str, str]:
    proposed = a_proposed_name(cast)
    plant = [proposed.plant_id]
    return {
        "names": reverse("names"),
        "names-tried": reverse("names") + "?text=best+Moss+Semafore",
        "plant-names": reverse("plant-names", args=plant),
        "name-propose": reverse("name-propose", args=plant),
        "name-drop": reverse("name-drop", args=[proposed.pk]),
        "name-give": reverse("name-give", args=[proposed.pk]),
        "measure": reverse("measure", args=plant),
        "dossier": reverse("dossier", args=plant),
    }


def a_count(cast: Cast) -> StockCount:
    """The newest count of the oboe, counted through four summers if nobody did."""
    owner = Person.objects.get(role="owner")
    known = StockCount.live.filter(plant=cast.oboe).order_by("-day")
    if not known.exists():
        place = {"plant": cast.oboe, "bed": cast.bed, "position": "7"}
        for at, number in enumerate((2, 5, 9, 6)):
            taken = {"taken": 14, "fate": "sold"} if at == 3 else {}
            day = LINED_OUT - timedelta(days=365 * (3 - at))
            count_stock(act_of(owner, day), number=number, **place, **taken)
    return known[0]


def a_guest(cast: Cast) -> GuestSent:
    """The oboe in another garden, sent now if it is in none."""
    values = {"garden_name": "Garden at the Reeds", "terms": "test", "number": 2}
    act = act_of(Person.objects.get(role="owner"), IN_BLOOM)
    return GuestSent.live.filter(plant=cast.oboe).first() or (
        send_guest(act, plant=cast.oboe, **values).thing
    )


def an_offer(cast: Cast) -> Introduction:
    """The oboe in the list of 2027, put into it now if it is not."""
    values = {"year": 2027, "price": Decimal(25), "currency": "EUR", "quantity": 12}
    act = act_of(Person.objects.get(role="owner"), IN_BLOOM)
    return Introduction.live.filter(plant=cast.oboe).first() or (
        introduce(act, plant=cast.oboe, **values).thing
    )


def increase_pages(cast: Cast) -> dict[str, str]:
    count, guest, offer = a_count(cast), a_guest(cast), an_offer(cast)
    gone = StockTaken.live.filter(plant=cast.oboe, guest=None).first()
    plant = [cast.oboe.pk]
    return {
        "increase": reverse("increase"),
        "stock-walk": reverse("stock-walk"),
        "stock-walk-every": reverse("stock-walk") + "?every=1",
        "count-stock": reverse("count-stock", args=plant),
        "take-out": reverse("take-out", args=plant),
        "plant-increase": reverse("plant-increase", args=plant),
        "stock-count-correct": reverse("stock-count-correct", args=[count.pk]),
        "taken-correct": reverse("taken-correct", args=[gone.pk]),
        "guests": reverse("guests"),
        "guest-new": reverse("guest-new"),
        "guest-news": reverse("guest-news", args=[guest.pk]),
        "guest-correct": reverse("guest-correct", args=[guest.pk]),
        "introductions": reverse("introductions"),
        "introduction-new": reverse("introduction-new"),
        "introduction-change": reverse("introduction-change", args=[offer.pk]),
        "introduction-withdraw": reverse("introduction-withdraw", args=[offer.pk]),
        "catalogue": reverse("catalogue", args=[offer.year]),
    }


def parts_and_files(cast: Cast) -> dict[str, str]:
    """Name -> address of what is no page of its own."""
    return {
        "sign-in": reverse("sign-in"),
        "sign-out": reverse("sign-out"),
        "worker": reverse("worker"),
        "hello": reverse("hello"),
        "backup-now": reverse("backup-now"),
        "backup-file": reverse("backup-file", args=["haftbook-2026-06-03-0712.zip"]),
        **{
            name: reverse(name)
            for name in ("out-folder", "out-onefile", "out-passport", "out-pedigree", "out-graph")
        },
        "undo": reverse("undo", args=[JournalLine.objects.latest("pk").pk]),
        "phone-waited-for": reverse("phone-waited-for", args=[1]),
        "phone-out": reverse("phone-out", args=[1]),
        "calendar-renew": reverse("calendar-renew", args=[somebody_else().pk]),
        "parent": reverse("parent", args=["seed"]),
        "answers": reverse("answers", args=["seed"]),
        "tag-said": reverse("tag-said"),
        "bed-list": reverse("bed-list", args=["plants"]),
        **label_files(cast),
        "kin-line": reverse("kin-line"),
        "kin-answers": reverse("kin-answers", args=["a"]),
        "expect-line": reverse("expect-line"),
        "expect-answers": reverse("expect-answers", args=["seed"]),
        "plant-offer": reverse("plant-offer", args=["seed_parent"]),
        "flower-preview": reverse("flower-preview"),
        "feed": reverse("feed", args=["no-key-of-anybody"]),
        "name-told": reverse("name-told") + "?text=Test",
        "dossier-pdf": reverse("dossier-pdf", args=[a_seedling(cast).plant_id]),
        "funnel-plot": reverse("funnel-plot", args=[cast.cross.season]),
        "tag-sheet": reverse("tag-sheet", args=[cast.sheet.pk]),
        "pedigree-pdf": reverse("pedigree-pdf", args=[cast.oboe.pk]),
        "web-pdf": reverse("web-pdf", args=[cast.cross.code]),
        "plant-import-example": reverse("plant-import-example"),
        "photo-file": reverse("photo-file", args=[a_photo(cast).digest, "small"]),
        "merit-plot-image": reverse("merit-plot-image"),
        "catalogue-pdf": reverse("catalogue-pdf", args=[an_offer(cast).year]),
        "catalogue-csv": reverse("catalogue-csv", args=[an_offer(cast).year]),
        "rubric-preview": reverse("rubric-preview", args=[the_walk_rubric().pk]),
        "rubric-criterion": reverse("rubric-criterion") + "?add=1",
        "clear-out-pdf": reverse("clear-out-pdf"),
        "resets-pdf": reverse("resets-pdf"),
        "bed-map-pdf": reverse("bed-map-pdf", args=[cast.bed.pk]),
        "to-cross-pdf": reverse("to-cross-pdf"),
        "season-pdf": reverse("season-pdf", args=[cast.cross.season]),
        "row-walk-pdf": reverse("row-walk-pdf", args=[cast.row.pk]),
        "bed-row-walk-pdf": reverse("bed-row-walk-pdf", args=[cast.bed.pk, 1]),
        "row-at": reverse("row-at", args=[cast.row.pk, 7]),
        "locus-type": reverse("locus-type") + "?add=3",
        "locus-looks": reverse("locus-looks"),
        "locus-use": reverse("locus-use", args=["t"]),
        "copies-line": reverse("copies-line", args=[cast.teapot.pk]),
    }


def route_names() -> set[str]:
    """The name of every address that the site answers to."""
    return {name for name in get_resolver().reverse_dict if isinstance(name, str)}


def route_of(address: str) -> str:
    """The name of the route that answers at an address."""
    return resolve(address.partition("?")[0]).url_name or ""
