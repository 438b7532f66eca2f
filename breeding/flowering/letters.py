"""Recorded season letters as a rough place in the season of the class, and where classes begin."""

from __future__ import annotations

import re

# Letters are relative to the season of the class (AIS iris wiki). Where on 0 to 1 each stands is
# common practice: evenly, the extremes nearly at the ends. 'EE' is an older way to write VE.
LETTERS = {"VE": 0.05, "EE": 0.05, "E": 0.2, "M": 0.5, "L": 0.8, "VL": 0.95}
READ = re.compile(r"VE|EE|VL|RE|E|M|L|[\s,&/+()-]+|.", re.IGNORECASE)

# Days by which the classes open before the tall bearded, from memory; each garden's notes soon
# outweigh them. The order is that of the classes' standards: dwarfs, intermediates, tall.
STARTS = {"MDB": -32.0, "SDB": -24.0, "AB": -12.0, "IB": -12.0, "BB": -3.0, "MTB": -2.0, "TB": 0.0}
# Standard deviation of these, and of a group that nothing is known of, in days.
START_SPREAD, ANY_SPREAD = 6.0, 12.0


def place_of_letters(text: str) -> float | None:
    """Rough place, 0–1, of a recorded season within the season of the class.

    Several letters stand for their middle, 'RE' (rebloom) says nothing of the first bloom.

    Parameters
    ----------
    text : str
        As recorded: 'EM', 'M-L', 'VE & RE'.

    Returns
    -------
    float or None
        None when there is no letter, or anything that is none.

    Examples
    --------
    >>> place_of_letters("EM"), place_of_letters("ML & RE"), place_of_letters("spring")
    (0.35, 0.65, None)
    """
    places = []
    for bit in READ.findall(text):
        if (letter := bit.upper()) in LETTERS:
            places.append(LETTERS[letter])
        elif letter != "RE" and len(bit.strip(" ,&/+()-\t\n")):
            return None
    return round((min(places) + max(places)) / 2, 6) if places else None
