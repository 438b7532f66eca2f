"""Addresses of what crosses may give, and of what came."""

from __future__ import annotations

from django.urls import path

from breeding.views import expecting

urlpatterns = [
    path("expect/", expecting.expect, name="expect"),
    path("expect/answers/<str:side>/", expecting.answers, name="expect-answers"),
    path("new-cross/expect/", expecting.line, name="expect-line"),
    path("crosses/<str:code>/came/", expecting.came, name="came"),
    path("crosses/<str:code>/count-types/", expecting.count_types, name="count-types"),
]
