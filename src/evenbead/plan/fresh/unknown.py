"""A check that can't be answered: it says what to measure, and how."""

from __future__ import annotations

from evenbead.plan.model import Check


def unknown(name: str, missing: str, how: str) -> Check:
    """The check with its verdict left open."""
    return Check(
        name=name,
        verdict="unknown",
        value=None,
        limit=None,
        margin=None,
        why=f"not given: {missing}",
        governs="what is not known",
        change=f"measure it: {how}",
    )
