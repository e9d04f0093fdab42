"""Two ways of doing a thing, timed by turns, so that what else the machine does meets both."""

from collections.abc import Callable
from dataclasses import dataclass, field
from statistics import median
from time import perf_counter
from typing import Any


@dataclass
class Turns:
    """Seconds each way took, round by round."""

    ours: list[float] = field(default_factory=list)
    other: list[float] = field(default_factory=list)

    @property
    def ratio(self) -> float:
        return median(self.ours) / median(self.other)


def timed(act: Callable[[], Any], into: list[float]) -> Any:
    started = perf_counter()
    answer = act()
    into.append(perf_counter() - started)
    return answer


def by_turns(benchmark, ours: Callable[[], Any], other: Callable[[], Any], *, rounds: int, name: str) -> Turns:
    """Times both by turns; the benchmark's own figures are of ours. `name` says what other is."""
    turns = Turns()
    ours(), other()  # once each to warm up, untimed
    benchmark.pedantic(
        lambda: timed(ours, turns.ours), setup=lambda: timed(other, turns.other) and None, rounds=rounds
    )
    tell(benchmark, **{
        "ours, ms": 1000 * median(turns.ours),
        f"{name}, ms": 1000 * median(turns.other),
        f"ratio to {name}": turns.ratio,
    })
    return turns


def tell(benchmark, **figures: float) -> None:
    """Puts figures beside the benchmark and prints them: they are told, not asserted."""
    rounded = {name.replace("_", " "): round(figure, 2) for name, figure in figures.items()}
    benchmark.extra_info.update(rounded)
    print(f"\n{benchmark.name}: " + "; ".join(f"{name} {figure:,}" for name, figure in rounded.items()))
