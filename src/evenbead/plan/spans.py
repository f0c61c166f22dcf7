"""Durations and shares the way people say them."""

from __future__ import annotations


def span(seconds: float) -> str:
    """A duration in the largest units that matter.

    Examples
    --------
    >>> span(45), span(350), span(6_780)
    ('45 s', '5 min 50 s', '1 h 53 min')
    """
    whole = round(seconds)
    if whole < 60:
        return f"{whole} s"
    if whole < 3600:
        return f"{whole // 60} min {whole % 60} s" if whole % 60 else f"{whole // 60} min"
    minutes = round(seconds / 60)
    return f"{minutes // 60} h {minutes % 60:02d} min" if minutes % 60 else f"{minutes // 60} h"


def percent(share: float) -> str:
    """A share in words; what rounds to all or nothing says so.

    Examples
    --------
    >>> percent(0.9997), percent(0.123), percent(0.0)
    ('over 99.9 %', '12.3 %', '0 %')
    """
    if 0.999 < share < 1:
        return "over 99.9 %"
    if 0 < share < 0.001:
        return "under 0.1 %"
    return f"{100 * share:.2g} %" if share < 0.1 else f"{100 * share:.3g} %"
