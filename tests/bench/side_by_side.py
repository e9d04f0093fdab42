"""Two ways of doing a thing, timed by turns, so that what else the machine does meets both."""

import gc
from collections.abc import Callable
from dataclasses import dataclass, field
from statistics import median
from time import perf_counter
from typing import Any

Act = Callable[[], Any]


@dataclass
class Turns:
    """Seconds each way took, round by round."""

    ours: list[float] = field(default_factory=list)
    other: list[float] = field(default_factory=list)

    @property
    def ratio(self) -> float:
        return median(self.ours) / median(self.other)


def timed(act: Act, into: list[float]) -> Any:
    """What an act gives and the seconds it took; what the one before left to collect is not its own."""
    gc.collect()
    started = perf_counter()
    answer = act()
    into.append(perf_counter() - started)
    return answer


def by_turns(benchmark, ready: Callable[[], tuple[Act, Act]], *, rounds: int, against: str) -> Turns:
    """Times two acts by turns: ours, whose figures the benchmark shows, and the one it is held
    against. `ready` prepares both, untimed, each round; the first round is not counted."""
    turns = Turns()

    def prepare() -> tuple[tuple[Act, list[float]], dict[str, Any]]:
        ours, other = ready()
        timed(other, turns.other)
        return (ours, turns.ours), {}

    benchmark.pedantic(timed, setup=prepare, rounds=rounds, warmup_rounds=1)
    del turns.ours[0], turns.other[0]
    told = {"ours_ms": 1000 * median(turns.ours), f"{against}_ms": 1000 * median(turns.other)}
    tell(benchmark, **told, ratio=turns.ratio)
    return turns


def tell(benchmark, **figures: float) -> None:
    """Puts figures beside the benchmark and prints them: they are told, not asserted."""
    rounded = {name.replace("_", " "): round(figure, 2) for name, figure in figures.items()}
    benchmark.extra_info.update(rounded)
    print(f"\n{benchmark.name}: " + ", ".join(f"{name} {figure:,}" for name, figure in rounded.items()))
