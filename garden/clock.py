"""When something happened, told by a phone whose clock may be wrong. Free of Django."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

# What differs by less is the way of the message, not the clock.
TOLERANCE = timedelta(minutes=2)
# Without the phone's own word on its clock: what lies further off is no clock to believe.
CLOCK_AHEAD = timedelta(days=1)
CLOCK_BEHIND = timedelta(days=60)
# With it: an entry may wait on a phone through a winter.
LONGEST_WAIT = timedelta(days=400)


def true_moment(
    tapped: datetime | None,
    now: datetime,
    phone_now: datetime | None = None,
    known_skew: timedelta | None = None,
) -> datetime:
    """The moment of a tap, never after `now`; all moments aware.

    `tapped` is the phone's clock at the tap and `phone_now` at the sending; `known_skew` is how far
    the garden's clock stood before the phone's when they last met before the tap. What was known
    before the tap counts, so that taps that waited keep their order however long each was on its
    way. Where nothing was known, or it would put the tap after `now`, the clock is taken to be
    wrong by as much at both ends, and the time between counts back from `now`.
    """
    if tapped is None:
        return now
    if phone_now is None:
        return min(tapped, now) if now - CLOCK_BEHIND < tapped < now + CLOCK_AHEAD else now
    try:
        # Between two times of one zone Python counts what the clock on the wall shows.
        tapped, known_now = tapped.astimezone(UTC), now.astimezone(UTC)
        skew = known_now - phone_now.astimezone(UTC)
        moment = tapped + _skew(tapped, known_now, skew, known_skew)
    except OverflowError:
        return now
    return min(moment, now) if moment > now - LONGEST_WAIT else now


def _skew(tapped: datetime, now: datetime, skew: timedelta, known: timedelta | None) -> timedelta:
    """How far to move a tap: nothing, by what was known before it, or by what is known now."""
    if known is not None and tapped + known <= now + TOLERANCE:
        skew = known
    return skew if abs(skew) > TOLERANCE else timedelta(0)
