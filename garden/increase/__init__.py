"""How a stock increases, and what may be sold of it. Free of Django.

Counts by place and day become `Span`s (`spans_of`), spans a yearly factor with its spread
(`vigour`), and that a forecast (`forecast`), what to hold back (`hold_back`, `refill_from`) and
what may be sold (`may_sell`).
"""

from __future__ import annotations

from garden.increase.forecasting import Forecast, Year, forecast
from garden.increase.holding import hold_back, may_sell, refill_from
from garden.increase.plot import Dot, counts_svg
from garden.increase.pooling import Shrunk, shrink
from garden.increase.spans import Counted, Span, Taken, last_counted, now, spans_of, table
from garden.increase.vigour import Vigour, observed, spread_of, vigour, vigours

__all__ = [
    "Counted",
    "Dot",
    "Forecast",
    "Shrunk",
    "Span",
    "Taken",
    "Vigour",
    "Year",
    "counts_svg",
    "forecast",
    "hold_back",
    "last_counted",
    "may_sell",
    "now",
    "observed",
    "refill_from",
    "shrink",
    "spans_of",
    "spread_of",
    "table",
    "vigour",
    "vigours",
]
