"""Addresses of the thread, from Today to the rows."""

from __future__ import annotations

from django.urls import path

from breeding.views import (
    correcting,
    crossing,
    feed,
    kin,
    lookup,
    pedigree,
    plants,
    pods,
    rows,
    seasons,
    sowing,
    tags,
    today,
)

urlpatterns = [
    path("", today.today, name="today"),
    path("due/<str:key>/", today.due, name="due"),
    path("calendar/", feed.calendar, name="calendar"),
    path("calendar/<str:key>/garden.ics", feed.feed, name="feed"),
    path("new-cross/", crossing.new_cross, name="new-cross"),
    path("new-cross/parent/<str:side>/", crossing.parent, name="parent"),
    path("new-cross/answers/<str:side>/", crossing.answers, name="answers"),
    path("new-cross/tag/", crossing.tag_said, name="tag-said"),
    path("crosses/<str:code>/", seasons.cross, name="cross"),
    path("crosses/<str:code>/parents/", correcting.cross_parents, name="cross-parents"),
    path("seasons/", seasons.seasons, name="seasons"),
    path("seasons/<int:year>/", seasons.season, name="season"),
    path("seasons/<int:year>/funnel.svg", seasons.funnel_plot, name="funnel-plot"),
    path("tags/", tags.tags, name="tags"),
    path("tags/sheets/<int:pk>/tags.pdf", tags.sheet, name="tag-sheet"),
    path("tags/<str:code>/", tags.tag, name="tag"),
    path("tags/<str:code>/spoil/", tags.spoil, name="tag-spoil"),
    path("flowers/<int:pk>/look/", pods.look, name="look"),
    path("flowers/<int:pk>/harvest/", pods.harvest_pod, name="harvest"),
    path("flowers/<int:pk>/parents/", correcting.flower_parents, name="flower-parents"),
    path("cups/<str:code>/", sowing.cup, name="cup"),
    path("cups/<str:code>/sow/", sowing.sow_cup, name="sow"),
    path("pots/<str:code>/", sowing.pot, name="pot"),
    path("pots/<str:code>/count/", sowing.count_pot, name="count"),
    path("pots/<str:code>/line-out/", rows.line_out_pot, name="line-out"),
    path("rows/<int:pk>/", rows.row, name="row"),
    path("beds/<int:pk>/row/<int:number>/", rows.bed_row, name="bed-row"),
    path("correct/<str:kind>/<int:pk>/", correcting.correct_thing, name="correct"),
    path("put-away/<str:kind>/<int:pk>/", correcting.put_thing_away, name="put-away"),
    path("plants/<int:pk>/", plants.plant, name="plant"),
    path("look-up/", lookup.look_up, name="look-up"),
    # Charts and notation.
    path("plants/<int:pk>/pedigree/", pedigree.pedigree, name="pedigree"),
    path("plants/<int:pk>/pedigree.pdf", pedigree.pedigree_pdf, name="pedigree-pdf"),
    path("plants/<int:pk>/parentage/", pedigree.read_parentage, name="read-parentage"),
    path("crosses/<str:code>/web/", pedigree.web, name="web"),
    path("crosses/<str:code>/web.pdf", pedigree.web_pdf, name="web-pdf"),
    # Kinship.
    path("kin/", kin.pair, name="kin-pair"),
    path("kin/answers/<str:side>/", kin.answers, name="kin-answers"),
    path("kin/map/", kin.kin_map, name="kin-map"),
    path("plants/<int:pk>/kin/", kin.of_plant, name="kin-of"),
    path("new-cross/kin/", kin.line, name="kin-line"),
]
