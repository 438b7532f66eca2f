"""Addresses of goals and of planned crosses."""

from __future__ import annotations

from django.urls import path

from breeding.views import planning

urlpatterns = [
    path("goals/", planning.goals, name="goals"),
    path("goals/new/", planning.goal_new, name="goal-new"),
    path("goals/<int:pk>/", planning.goal, name="goal"),
    path("goals/<int:pk>/set/", planning.goal_set, name="goal-set"),
    path("goals/<int:pk>/curve/", planning.goal_curve, name="goal-curve"),
    path("goals/<int:pk>/change/", planning.goal_change, name="goal-change"),
    path("goals/<int:pk>/weigh/", planning.goal_weigh, name="goal-weigh"),
    path("goals/<int:pk>/close/", planning.goal_close, name="goal-close"),
    path("goals/<int:pk>/plan/", planning.plan_pairs, name="plan-pairs"),
    path("to-cross/", planning.to_cross, name="to-cross"),
    path("planned/<int:pk>/", planning.planned_change, name="planned-change"),
    path("planned/<int:pk>/drop/", planning.planned_drop, name="planned-drop"),
]
