"""Plots of a season. Matplotlib is loaded when the first plot is asked for, not at start."""

from __future__ import annotations

import io
import threading
from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from breeding.season import Funnel

# Drawing goes through process-wide settings; one plot at a time keeps them whole.
_one_plot = threading.Lock()
COLOURS = ("#c9bde6", "#8f78c2", "#47207c")
INK, RULE = "#1d1430", "#d8d0e6"


def funnel_svg(seasons: Sequence[tuple[int, Funnel]]) -> str:
    """Bars from flowers worked to seedlings lined out, one set a season, as a whole SVG file.

    Flowers and pods are few beside seeds, so each step is drawn on its own scale.
    """
    from matplotlib import rc_context
    from matplotlib.figure import Figure

    with _one_plot, rc_context({"svg.fonttype": "none", "font.family": "sans-serif"}):
        figure = Figure(figsize=(9.6, 3.2), layout="constrained")
        axes = figure.subplots(1, 6)
        steps = seasons[-1][1].steps if seasons else []
        for axis, (name, title, _) in zip(axes, steps, strict=False):
            _bars(axis, title, [(year, getattr(funnel, name)) for year, funnel in seasons])
        for axis in axes[len(steps) :]:
            axis.set_axis_off()
        out = io.StringIO()
        figure.savefig(out, format="svg", transparent=True)
    return out.getvalue()


def _bars(axis: object, title: str, counts: list[tuple[int, int]]) -> None:
    labels = [str(year) for year, _ in counts]
    colours = COLOURS[-len(counts) :]
    bars = axis.bar(labels, [count for _, count in counts], color=colours, width=0.72)
    # In threes, with narrow spaces, as on the pages.
    told = [f"{count:,}".replace(",", "\u202f") for _, count in counts]
    axis.bar_label(bars, told, padding=2, color=INK, fontsize=10)
    axis.set_title(title, color=INK, fontsize=11)
    axis.set_yticks([])
    axis.margins(y=0.18)
    axis.tick_params(axis="x", colors=INK, labelsize=10, length=0)
    for side in ("top", "left", "right"):
        axis.spines[side].set_visible(False)
    axis.spines["bottom"].set_color(RULE)
