"""Plans: what is bred for, which crosses serve it, and what can be crossed today."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_http_methods, require_safe

from breeding import worths
from breeding.models import Goal, PlannedCross
from breeding.pages import plangoals, planpages, plansets, plantoday, planwords
from breeding.pages.expectwords import odds
from breeding.pages.planasked import Asked
from breeding.pages.planflowers import proposed
from breeding.pages.planforms import (
    ChangeGoalForm,
    CloseGoalForm,
    DropForm,
    GoalForm,
    PlannedForm,
    PlanPairsForm,
    WeighForm,
)
from breeding.pages.plans import USUAL_PARENTS
from breeding.pages.planseason import coming_season
from breeding.records import (
    add_goal,
    change_goal,
    change_planned,
    close_goal,
    drop_planned,
    plan_crosses,
)
from garden.forms.base import keep
from garden.models import IrisClass, Plant
from garden.names import is_key
from garden.views.common import form_page, journal_of, kept_at, page, recorders_only

WRITING = ["GET", "HEAD", "POST"]
MOST_TICKED = 200
SET_HINT = (
    f"Left empty: as from {USUAL_PARENTS[0]} or {USUAL_PARENTS[1]} unrelated parents, or halfway "
    "where that costs too much. 1 is no limit."
)


def the_goal(pk: int, open_only: bool = False) -> Goal:
    goals = Goal.live.filter(closed_on=None) if open_only else Goal.live
    return get_object_or_404(goals, pk=pk)


def season_of(request: HttpRequest) -> int:
    """The season that can still be planned."""
    return coming_season(request.garden.calendar, request.garden.today())


@require_safe
def goals(request: HttpRequest) -> HttpResponse:
    """What is bred for: open goals with how far they are, closed ones below. Four queries."""
    season = season_of(request)
    found = plangoals.listed(list(Goal.live.all()), season)
    context = {
        "open": [each for each in found if not each.goal.closed_on],
        "closed": [each for each in found if each.goal.closed_on],
        "year": season,
    }
    return render(request, "breeding/goals.html", context)


@require_safe
def goal(request: HttpRequest, pk: int) -> HttpResponse:
    """One goal with its pairs, ranked; HTMX asks for the table alone."""
    thing = the_goal(pk)
    asked = Asked.of(request.GET, thing)
    context = planpages.table(request.garden, asked, request.garden.today())
    if not request.htmx:
        context |= told_of(request, thing)
    return page(request, "breeding/goal.html", "breeding/_plan_table.html", thing=thing, **context)


def told_of(request: HttpRequest, thing: Goal) -> dict[str, Any]:
    """What stands around the table. Six queries."""
    loci, double = plangoals.loci_of_garden(), request.garden.double_reduction
    season = season_of(request)
    limit = (thing.pair_limit, thing.iris_class, double)
    return {
        "class_name": dict(IrisClass.choices).get(thing.iris_class, "every class"),
        "wanted": plangoals.wanted_of(thing, loci),
        "traits": plangoals.trait_words(thing, worths.traits()) if thing.traits else [],
        "progress": plangoals.progress_of(season).get(thing.pk, plangoals.Progress()),
        "pair_limit": planwords.kin(thing.pair_limit),
        "pair_words": planwords.pair_limit_words(*limit),
        "set_words": planwords.set_limit_words(thing.set_limit, thing.iris_class, double),
        "least": odds(thing.least_chance) if thing.least_chance and thing.wanted else "",
        "journal": journal_of(thing),
    }


@require_safe
def goal_set(request: HttpRequest, pk: int) -> HttpResponse:
    """The crosses chosen together."""
    thing = the_goal(pk)
    asked = Asked.of(request.GET, thing)
    context = plansets.chosen_part(request.garden, asked, request.garden.today())
    return page(request, "breeding/goal_set.html", "breeding/_plan_set.html", thing=thing,
                **context)  # fmt: skip


@require_safe
def goal_curve(request: HttpRequest, pk: int) -> HttpResponse:
    """What a lower kinship costs, drawn."""
    thing = the_goal(pk)
    asked = Asked.of(request.GET, thing)
    context = plansets.curve_part(request.garden, asked, request.garden.today())
    return page(request, "breeding/goal_curve.html", "breeding/_plan_curve.html", thing=thing,
                **context)  # fmt: skip


def kinship_words(request: HttpRequest, iris_class: str) -> dict[str, Any]:
    """What numbers of kinship mean in a class."""
    double = request.garden.double_reduction
    own = planwords.own_kinship(iris_class, double)
    return {
        "relations": [(planwords.kin(number), said)
                      for number, said in planwords.relations(iris_class, double)],
        "make_up": planwords.ploidy_words(iris_class),
        "of_set": [(planwords.kin(own / many), many) for many in plansets.PARENTS],
        "set_hint": SET_HINT,
    }  # fmt: skip


@recorders_only
@require_http_methods(WRITING)
def goal_new(request: HttpRequest) -> HttpResponse:
    """Write down what is bred for."""
    form = GoalForm(request.POST or None)
    if request.method == "POST" and (kept := keep(request, form, add_goal)):
        return kept_at(kept, "goal", kept.thing.pk)
    return form_page(request, "breeding/goal_form.html", form, **kinship_words(request, "TB"))


@recorders_only
@require_http_methods(WRITING)
def goal_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what is wanted, the limits, or what counts."""
    thing = the_goal(pk, open_only=True)
    form = ChangeGoalForm(request.POST or None, goal=thing)
    if request.method == "POST" and (kept := keep(request, form, change_goal, goal=thing)):
        return kept_at(kept, "goal", pk)
    context = kinship_words(request, thing.iris_class or "TB")
    return form_page(request, "breeding/goal_form.html", form, thing=thing, **context)


@recorders_only
@require_http_methods(WRITING)
def goal_weigh(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep weights and limit that were tried out."""
    thing = the_goal(pk, open_only=True)
    asked = Asked.of(request.GET, thing)
    told = {f"weight_{name}": f"{number:g}" for name, number in asked.weights.items()}
    form = WeighForm(request.POST or None, initial=told | {"set_limit": asked.limit})
    if request.method == "POST" and (kept := keep(request, form, change_goal, goal=thing)):
        return kept_at(kept, "goal", pk)
    context = {"thing": thing, "asked": asked, "set_hint": SET_HINT}
    return form_page(request, "breeding/goal_weigh.html", form, **context)


@recorders_only
@require_http_methods(WRITING)
def goal_close(request: HttpRequest, pk: int) -> HttpResponse:
    """Say that a goal is reached or given up."""
    thing = the_goal(pk, open_only=True)
    form = CloseGoalForm(request.POST or None)
    if request.method == "POST" and (kept := keep(request, form, close_goal, goal=thing)):
        return kept_at(kept, "goals")
    return form_page(request, "breeding/goal_close.html", form, thing=thing)


def ticked(request: HttpRequest) -> list[tuple[Plant, Plant]]:
    """The pairs of the address, '12-15', each once; nonsense is passed over. A query."""
    told = [word.partition("-")[::2] for word in request.GET.getlist("pair")[:MOST_TICKED]]
    keys = [(int(seed), int(pollen)) for seed, pollen in dict.fromkeys(told)
            if is_key(seed) and is_key(pollen) and int(seed) != int(pollen)]  # fmt: skip
    plants = Plant.live.in_bulk({key for pair in keys for key in pair})
    return [(plants[seed], plants[pollen]) for seed, pollen in keys
            if seed in plants and pollen in plants]  # fmt: skip


@recorders_only
@require_http_methods(WRITING)
def plan_pairs(request: HttpRequest, pk: int) -> HttpResponse:
    """Plan the ticked pairs for the coming season, with the flowers to work for each."""
    thing, season, pairs = the_goal(pk, open_only=True), season_of(request), ticked(request)
    asked, told = Asked.of(request.GET, thing), {}
    if request.method != "POST" and pairs:
        plan = planpages.plan_of(request.garden, asked, request.garden.today())
        told = proposed(plan, [(seed.pk, pollen.pk) for seed, pollen in pairs])
    flowers = {pair: many for pair, (many, _) in told.items()}
    form = PlanPairsForm(request.POST or None, pairs=pairs, flowers=flowers)
    if request.method == "POST" and pairs:
        kept = keep(request, form, plan_crosses, goal=thing, season=season)
        if kept:
            # What was tried out stays as it was.
            return kept_at(kept, "goal", pk, **asked.told())
    why = {pair: said for pair, (_, said) in told.items()}
    rows = [(*pair, *form.of(*pair), why.get((pair[0].pk, pair[1].pk), "")) for pair in pairs]
    context = {"thing": thing, "rows": rows, "year": season, "asked": asked}
    return form_page(request, "breeding/plan_pairs.html", form, **context)


@require_safe
def to_cross(request: HttpRequest) -> HttpResponse:
    """The planned crosses of the season by what is open now, or on another day."""
    garden, today = request.garden, request.garden.today()
    day = plantoday.day_asked(request.GET.get("on", ""), today)
    record, lines = plantoday.lines_of(garden, day, today)
    groups = [(way, [line for line in lines if line.way is way]) for way in plantoday.Way]
    context = {
        "year": record.season,
        "day": day,
        "other_day": day != today,
        "ahead": record.ahead,
        "put_by": plantoday.to_put_by(record, lines),
        "groups": [(way, some) for way, some in groups if some and way is not plantoday.Way.DONE],
        "done": [line for line in lines if line.way is plantoday.Way.DONE],
        "lines": lines,
        "several": len({line.planned.goal_id for line in lines}) > 1,
        "ready": sum(line.ready for line in lines),
        "begins": plantoday.beginning(record, lines),
        "usual": garden.calendar.bloom_from.on_or_after(
            garden.calendar.season_starts(record.season)
        ),
    }
    return page(request, "breeding/plan_today.html", "breeding/_plan_today.html", **context)


def the_planned(pk: int) -> PlannedCross:
    """A planned cross that stands."""
    planned = PlannedCross.live.select_related("seed_parent", "pollen_parent", "goal")
    found = get_object_or_404(planned, pk=pk)
    if found.dropped_on:
        raise Http404
    return found


@recorders_only
@require_http_methods(WRITING)
def planned_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Change how many flowers are to be worked, or the note."""
    planned = the_planned(pk)
    form = PlannedForm(request.POST or None, initial=PlannedForm.values_of(planned))
    if request.method == "POST" and (kept := keep(request, form, change_planned, planned=planned)):
        return kept_at(kept, "to-cross")
    return form_page(request, "breeding/planned_change.html", form, planned=planned)


@recorders_only
@require_http_methods(WRITING)
def planned_drop(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a planned cross off the list."""
    planned = the_planned(pk)
    form = DropForm(request.POST or None)
    if request.method == "POST" and (kept := keep(request, form, drop_planned, planned=planned)):
        return kept_at(kept, "to-cross")
    return form_page(request, "breeding/planned_drop.html", form, planned=planned)
