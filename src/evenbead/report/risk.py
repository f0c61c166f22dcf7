"""The risk of a day, as `evenbead risk` shows it: in words, for scripts, and as pictures."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from rich.text import Text

from evenbead import __version__
from evenbead.plan.day import prepared
from evenbead.plan.risk import STOPS_THE_PRINT, fastest, risk_of, trial_of, window_of
from evenbead.plan.spans import percent, span
from evenbead.report.picture import picture, write_together
from evenbead.report.tables import pairs
from evenbead.report.window_chart import window_chart
from evenbead.report.worth_chart import worth_chart

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime
    from pathlib import Path

    from rich.console import Console

    from evenbead.documents import Assumption, Case
    from evenbead.physics.outcomes import Chance
    from evenbead.plan.risk import Risk, Suggestion, Window
    from evenbead.toolpath.model import Toolpath


@dataclass(frozen=True, slots=True, kw_only=True)
class RiskStudy:
    """A day's risk, its window, and the pace suggested."""

    job: str
    made_at: datetime
    layer_time: float
    risk: Risk
    window: Window
    suggestion: Suggestion
    assumed: tuple[Assumption, ...]


def study(case: Case, toolpath: Toolpath, *, draws: int, seed: int, wanted: float, made_at: datetime) -> RiskStudy:
    """The study of a job. Raises as `plan_day`."""
    ready = prepared(case, toolpath)
    trial = trial_of(ready.situation)
    window = window_of(trial, ready.expected, seed=seed)
    return RiskStudy(
        job=case.job.name,
        made_at=made_at,
        layer_time=window.chosen[0],
        risk=risk_of(trial, ready.expected, draws=draws, seed=seed),
        window=window,
        suggestion=fastest(trial, ready.expected, wanted=wanted, draws=min(draws, 4096), seed=seed),
        assumed=tuple(a for a in case.assumed("metric") if ": spread." in a.key),
    )


def draw(made: RiskStudy, *, window: Path | None, worth: Path | None) -> None:
    """The pictures asked for, all of them or none."""
    contents: dict[Path, bytes] = {}
    if window:
        contents[window] = picture(window_chart(made.window, made.job), window)
    if worth:
        contents[worth] = picture(worth_chart(made.risk, made.job), worth)
    write_together(contents)


def print_study(made: RiskStudy, console: Console) -> None:
    """The study in words and numbers."""
    console.print()
    console.print(Text(f"{made.job}: what could go wrong", style="bold"))
    console.print(Text(f"{made.risk.draws:,} days drawn, seed {made.risk.seed}; intervals hold 95 %", style="dim"))
    console.print()
    console.print(pairs(_findings(made), name_style="dim"))


def _findings(made: RiskStudy) -> Iterator[tuple[str, str]]:
    risk = made.risk
    yield "finishing", _finishing(risk)
    yield "no limit passed", _chance(risk.all_kept) + (", of those that can be told" if risk.unknown else "")
    yield "", ""
    for name, chance in sorted(risk.failures.items(), key=lambda item: -float(item[1].value)):
        yield name, _chance(chance)
    for name in risk.unknown:
        yield name, "can't be told: something was not measured (see the plan)"
    yield "", ""
    yield from _measurements(risk)
    yield "", ""
    yield "fastest print", _suggested(made)
    yield "spreads", f"{len(made.assumed)} of them assumed; give your own in [spread] of mortar and job"


def _finishing(risk: Risk) -> str:
    """What is left out is said, as it can only make the probability smaller."""
    without = [name for name in STOPS_THE_PRINT if name in risk.unknown]
    if risk.finishing is None:
        return f"can't be told: {', '.join(without)} are not known"
    said = f"{_chance(risk.finishing)}: the wall stands and the hose bears it to the end"
    return f"{said}, without {' and '.join(without)}: at most" if without else said


def _measurements(risk: Risk) -> Iterator[tuple[str, str]]:
    telling = [worth for worth in risk.worth if float(worth.explained.value) > 0.005][:4]
    if risk.always:
        yield "nearly certain", f"{', '.join(risk.always)}: passed on nearly every day drawn, whatever one measures"
    if not telling:
        yield "measure next", "no single measurement would tell much: hardly any limit is in doubt"
    for place, worth in enumerate(telling):
        share = percent(float(worth.explained.value))
        yield (
            "measure next" if place == 0 else "then",
            f"{worth.input.words}: {share} of the doubt. {worth.input.measure.capitalize()}",
        )


def _suggested(made: RiskStudy) -> str:
    suggestion = made.suggestion
    wanted = percent(suggestion.wanted)
    if suggestion.pace is not None:
        return f"{_paced(made, suggestion.pace)} keeps every failure under {wanted}; {_binding(suggestion)}"
    if suggestion.binding == "feeds":
        return "none: no pace suits all motors of the feeds at once"
    none = f"no pace keeps every failure under {wanted}: "
    apart = ", ".join(f"{name} ({percent(risk)})" for name, risk in suggestion.apart.items())
    if suggestion.pace_of_rest is None:
        stays = f"{suggestion.binding} stays at {percent(suggestion.probability)} or more"
        return f"{none}{apart} at the least; of the rest, {stays}" if apart else f"{none}{stays}"
    return f"{none}{apart} at the least. The rest is kept from {_paced(made, suggestion.pace_of_rest)} on"


def _paced(made: RiskStudy, pace: float) -> str:
    return f"{span(made.layer_time * pace)} a layer ({1 / pace:.2f} times the planned speed)"


def _binding(suggestion: Suggestion) -> str:
    if suggestion.binding == "feeds":
        return "a motor of the feeds runs at its fastest"
    return f"{suggestion.binding} binds" if suggestion.binding else "nothing binds in the paces looked at"


def _chance(chance: Chance) -> str:
    return f"{percent(float(chance.value))} ({percent(float(chance.low))} to {percent(float(chance.high))})"


def as_contract(made: RiskStudy) -> dict[str, Any]:
    """The study for scripts, of plain numbers, texts, lists and dictionaries."""
    suggestion = made.suggestion
    return {
        "job": made.job,
        "made_at": made.made_at.isoformat(timespec="seconds"),
        "version": __version__,
        "draws": made.risk.draws,
        "seed": made.risk.seed,
        "finishing": None if made.risk.finishing is None else _numbers(made.risk.finishing),
        "all_kept": _numbers(made.risk.all_kept),
        "failures": {name: _numbers(chance) for name, chance in made.risk.failures.items()},
        "unknown": list(made.risk.unknown),
        "always": list(made.risk.always),
        "measure": [
            {
                "input": worth.input.name,
                "words": worth.input.words,
                "how": worth.input.measure,
                "explained": float(worth.explained.value),
            }
            for worth in made.risk.worth
        ],
        "suggestion": {
            "wanted": suggestion.wanted,
            "pace": suggestion.pace,
            "layer_time_s": None if suggestion.pace is None else made.layer_time * suggestion.pace,
            "binding": suggestion.binding,
            "probability": suggestion.probability,
            "apart": dict(suggestion.apart),
            "pace_of_rest": suggestion.pace_of_rest,
        },
        "window_open": float(made.window.open.mean()),
        "assumed": [{"key": a.key, "value": a.value, "source": a.source} for a in made.assumed],
    }


def _numbers(chance: Chance) -> dict[str, float]:
    return {"value": float(chance.value), "low95": float(chance.low), "high95": float(chance.high)}
