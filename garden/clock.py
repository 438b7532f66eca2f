"""When something happened, told by a phone whose clock may be wrong. Free of Django."""

from __future__ import annotations

from datetime import datetime, timedelta

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
    the garden's clock stood before the phone's when they last met before the tap. A clock that is
    wrong is wrong by as much at both ends, so that the time between counts back from `now`; where
    the two ends disagree, it was put right meanwhile, and what was known before the tap counts.
    """
    if tapped is None:
        return now
    if phone_now is None:
        return tapped if now - CLOCK_BEHIND < tapped < now + CLOCK_AHEAD else now
    try:
        moment = tapped + _skew(tapped, now, now - phone_now, known_skew)
    except OverflowError:
        return now
    return min(moment, now) if moment > now - LONGEST_WAIT else now


def _skew(tapped: datetime, now: datetime, skew: timedelta, known: timedelta | None) -> timedelta:
    """How far to move a tap: nothing, by what was known before it, or by what is known now."""
    put_right = known is not None and abs(skew - known) > TOLERANCE
    if known is not None and put_right and tapped + known <= now + TOLERANCE:
        skew = known
    return skew if abs(skew) > TOLERANCE else timedelta(0)
