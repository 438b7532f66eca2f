"""From notes to the garden's bloom."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from typing import TYPE_CHECKING

from breeding.flowering.notes import Noted, Waiting

if TYPE_CHECKING:
    from breeding.flowering.absorbing import Posterior
    from breeding.flowering.closed import Settled, Sites
    from breeding.flowering.diligence import Part
    from breeding.flowering.flowering import Flowering


def fit(
    noted: Sequence[Noted],
    usual: Mapping[Hashable, tuple[str, float | None]],
    *,
    year: int | None = None,
    today: float | None = None,
    waiting: Sequence[Waiting] | None = None,
) -> Flowering:
    """Places of plants in the season and shifts of years, from whatever notes there are.

    Parameters
    ----------
    noted : sequence of Noted
        Days are day numbers within the season, counted the same way in all years.
    usual : mapping from plant to (group, place)
        Class (or '') and rough place, 0–1, by the recorded season of bloom (None: not recorded).
        Plants that were never noted may stand here too.
    year, today : int and float, optional
        The year that is running and its day. Notes of this year's later days are left out.
    waiting : sequence of Waiting, optional
        Plants seen closed. By default, with `year` and `today`: those that were noted within the
        three years before and not yet this year, closed or passed over until the last day of which
        anything is noted this year.

    Returns
    -------
    Flowering

    Raises
    ------
    ValueError
        If `today` comes without `year`.

    Notes
    -----
    day = mean + class + recorded season + plant + year + stage (+ length of bloom) + turn + error:
    everything normal, plants drawn about their class and recorded season, lengths of bloom about
    their class, years about nought, so that what is noted once moves little. `turn` is what one
    plant does in one year, all stages together. Components are found by EM, each beside its usual
    value (see `Flowering.told`).

    Early in a season only what opened is noted, which alone would say 'an early year'. So plants
    that usually open by now and did not are reckoned in: they open later, or are not noted this
    year. How many plants are noted in a year varies with whoever walks, and is not known of the
    running year: see `diligence.averaged`. Of plants given as `waiting` somebody knows that they
    are closed, and by the garden's usual share they bloom this year (`closed.settle`).

    About half a second for 600 plants over 10 years.

    Examples
    --------
    >>> notes = [Noted("a", 2023, "first", 20), Noted("a", 2024, "first", 26)]
    >>> found = fit(notes, {"a": ("TB", 0.5), "b": ("TB", None)})
    >>> place = found.place("b")
    >>> place.years, place.low < found.place("a").low < found.place("a").high < place.high
    (0, True)
    """
    from breeding.flowering import diligence
    from breeding.flowering.closed import Sites, settle
    from breeding.flowering.flowering import Flowering
    from breeding.flowering.layout import lay_out, turns
    from breeding.flowering.solving import counts, estimate, sized, solve

    if today is not None and year is None:
        raise ValueError("Today is a day of a year: say which.")
    guessed = waiting is None and year is not None and today is not None
    if year is not None and today is not None:
        noted = [each for each in noted if each.year < year or each.day <= today]
        if waiting is None:
            waiting = diligence.still_closed(noted, year, today)
    layout = lay_out(noted, usual)
    found = turns(noted, layout)
    centre = found.centre
    # Plants without notes tell nothing of the components, and would only make them slow.
    telling = layout.first(len({each.plant for each in noted}))
    counted = counts(telling, found)
    components = estimate(telling, sized(telling, found, centre), counted, found)
    there = sized(layout, found, centre)
    posterior = solve(layout, there, components)
    parts: tuple[Part, ...] = ()
    if closed := _closed(noted, waiting or ()):
        # Closed until the evening: half a day after the day's number.
        sites = Sites.of(
            layout.at(each.plant for each in closed),
            layout.columns(each.year for each in closed),
            [each.day + 0.5 - centre for each in closed],
        )

        def settled(begin: Sites, share: float) -> Settled:
            return settle(layout, there, components, posterior, begin, share)

        parts, posterior = _reckoned(
            settled, sites, noted, max(each.year for each in closed), guessed
        )
    return Flowering(layout, found, centre, components, counted, posterior, parts)


def _reckoned(
    settled: Callable[[Sites, float], Settled],
    sites: Sites,
    noted: Sequence[Noted],
    year: int,
    guessed: bool,
) -> tuple[tuple[Part, ...], Posterior]:
    """What closed plants say: by the usual share of plants noted, or, where it is only guessed
    that they are closed, over all shares that may be."""
    from breeding.flowering import diligence

    usual = diligence.usual_share(noted, year)
    if guessed:
        here = {each.plant for each in noted if each.year == year}
        tapped = len(diligence.lately(noted, year).keys() & here)
        return diligence.averaged(settled, sites, tapped, usual)
    told = settled(sites, usual)
    return (diligence.Part.of(usual, 1.0, told),), told.posterior


def _closed(noted: Sequence[Noted], waiting: Sequence[Waiting]) -> list[Waiting]:
    """One for each plant and year, the latest day; none of those that were noted open."""
    opened = {(each.plant, each.year) for each in noted}
    latest: dict[tuple[Hashable, int], Waiting] = {}
    for each in waiting:
        key = each.plant, each.year
        if key not in opened and (key not in latest or latest[key].day < each.day):
            latest[key] = each
    return list(latest.values())
