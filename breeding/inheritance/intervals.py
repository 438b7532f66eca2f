"""The exact interval around a share of few."""

from __future__ import annotations


def exact_interval(count: int, total: int, held: float = 0.95) -> tuple[float, float]:
    """The interval of Clopper and Pearson for a share.

    Parameters
    ----------
    count, total : int
        So many of so many, 0 ≤ count ≤ total, total ≥ 1.
    held : float
        Coverage, at least this, strictly between 0 and 1.

    Returns
    -------
    (float, float)
        Low and high, 0–1.

    Raises
    ------
    ValueError
        If the counts are no counts, or the coverage is out of range.

    References
    ----------
    .. [1] Newcombe 1998, Stat. Med. 17:857–872, method 5.

    Examples
    --------
    >>> low, high = exact_interval(15, 148)
    >>> round(low, 4), round(high, 4)
    (0.0578, 0.1617)
    """
    from scipy.special import betaincinv

    if total < 1 or not 0 <= count <= total:
        raise ValueError(f"{count} of {total} is no share.")
    if not 0 < held < 1:
        raise ValueError("The coverage lies between 0 and 1.")
    tail = (1 - held) / 2
    low = betaincinv(count, total - count + 1, tail) if count else 0.0
    high = betaincinv(count + 1, total - count, 1 - tail) if count < total else 1.0
    return float(low), float(high)
