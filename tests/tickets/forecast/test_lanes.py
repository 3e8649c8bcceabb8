"""One station in many futures: the same as one heap would do, and as the textbooks have it."""

from __future__ import annotations

import heapq
import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import simpy
from hypothesis import given, settings
from hypothesis import strategies as st

from tickets.forecast.lanes import Minutes, serve_by_urgency
from tickets.forecast.loads import Oven, serve_in_loads

KNOWN: dict[str, Any] = json.loads((Path(__file__).parents[2] / "data" / "lines.json").read_text("utf-8"))
QUEUE = KNOWN["queue"]


def plain_queue(arrivals: list[float], services: list[float], hands: int) -> list[float]:
    """The same with a heap, one future at a time."""
    coming = sorted((at, job) for job, at in enumerate(arrivals) if np.isfinite(at))
    left, free, waiting, following = [float("inf")] * len(arrivals), [0.0] * hands, list[int](), 0
    while following < len(coming) or waiting:
        start = heapq.heappop(free)
        if not waiting:
            start = max(start, coming[following][0])
        while following < len(coming) and coming[following][0] <= start:
            heapq.heappush(waiting, coming[following][1])
            following += 1
        job = heapq.heappop(waiting)
        left[job] = start + services[job]
        heapq.heappush(free, left[job])
    return left


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 2**32 - 1), st.integers(1, 150), st.integers(1, 4))
def test_every_future_is_what_a_plain_heap_makes_of_it(seed: int, jobs: int, hands: int) -> None:
    """Each lane alone, whatever comes when, whatever does not come at all, however many hands there are."""
    luck = np.random.default_rng(seed)
    arrivals = luck.exponential(jobs / 2, (jobs, 3))
    arrivals[luck.random((jobs, 3)) < 0.3] = 0
    arrivals[luck.random((jobs, 3)) < 0.2] = np.inf
    services = luck.exponential(1.0, (jobs, 3))
    left = serve_by_urgency(arrivals, services, hands)
    for future in range(3):
        assert left[:, future] == pytest.approx(
            plain_queue(list(arrivals[:, future]), list(services[:, future]), hands)
        )


def flow_shop(times: Minutes) -> float:
    """When the last of jobs is done that go through all machines in the order of the rows."""
    at = np.zeros((len(times), 1))
    for machine in range(times.shape[1]):
        at = serve_by_urgency(at, times[:, machine : machine + 1], 1)
    return float(at.max())


@pytest.mark.parametrize("instance", KNOWN["taillard"], ids=lambda one: one["name"])
def test_taillards_flow_shops_take_as_long_as_published(instance: dict[str, Any]) -> None:
    """20 jobs on 5 machines (Taillard 1993): the order as given, and an optimal one, to the minute."""
    state, times = instance["seed"], np.zeros((20, 5))
    for machine in range(5):
        for job in range(20):
            state = 16807 * (state % 127773) - 2836 * (state // 127773)
            state += 2**31 - 1 if state < 0 else 0
            times[job, machine] = 1 + int(99 * (state / (2**31 - 1)))
    assert flow_shop(times) == instance["identity_makespan"]
    assert flow_shop(times[[job - 1 for job in instance["best_seq"]]]) == instance["best"]


@pytest.mark.parametrize("example", KNOWN["johnson"], ids=lambda one: one["name"])
def test_johnsons_two_stations_take_as_long_as_in_the_textbook(example: dict[str, Any]) -> None:
    """The examples of Johnson's rule, with the makespans that are printed."""
    order = example.get("seq") or example["fixed"]
    assert flow_shop(np.array([example["jobs"][job] for job in order], dtype=float)) == example["makespan"]


def mean_wait(
    services: Minutes, rate: float, hands: int = 1, urgent_share: float = 0.0
) -> tuple[float, float]:
    """Mean waits of the urgent and of the others, after a warm-up, where jobs come at random (Poisson)."""
    jobs, futures = services.shape
    luck = np.random.default_rng(5)
    arrivals = np.cumsum(luck.exponential(1 / rate, (jobs, futures)), axis=0)
    urgent = luck.random(jobs) < urgent_share
    order = np.argsort(~urgent, kind="stable")
    waits = np.zeros_like(services)
    left = serve_by_urgency(arrivals[order], services[order], hands)
    waits[order] = left - arrivals[order] - services[order]
    late = np.arange(jobs) > jobs // 5
    return float(waits[urgent & late].mean()) if urgent_share else 0.0, float(waits[~urgent & late].mean())


def test_queues_wait_as_long_as_the_textbooks_say() -> None:
    """M/M/1, M/M/2, M/D/1 and M/G/1 (Pollaczek and Khinchine): the mean wait, within 4 %."""
    luck, shape = np.random.default_rng(3), (2500, 400)
    exponential = luck.exponential(1.0, shape)
    assert mean_wait(exponential / 3, 2)[1] == pytest.approx(QUEUE["MM1_2_3"]["Wq"], rel=0.04)
    assert mean_wait(exponential / 3, 2, 2)[1] == pytest.approx(QUEUE["MM2_2_3"]["Wq"], rel=0.04)
    assert mean_wait(np.full(shape, 1 / 12), 8)[1] == pytest.approx(QUEUE["MD1_8_12"]["Wq"], rel=0.04)
    general = luck.gamma(4 / 1.44, 1.44 / 2, shape)  # mean 2, variance 1.44
    known = QUEUE["MG1_0.35_2_var1.44"]
    assert mean_wait(general, 0.35)[1] == pytest.approx(known["Wq"], rel=0.04)


@pytest.mark.parametrize("known", [one for one in QUEUE["erlang_c"] if one[0] in (2, 1.5)])
def test_as_many_wait_as_erlangs_formula_says(known: tuple[float, int, float]) -> None:
    """M/M/c: the share of jobs that find all hands busy (Erlang C), within 4 %."""
    load, hands, share = known
    luck, shape = np.random.default_rng(6), (2000, 300)
    arrivals = np.cumsum(luck.exponential(1 / load, shape), axis=0)
    services = luck.exponential(1.0, shape)
    waits = serve_by_urgency(arrivals, services, hands) - arrivals - services
    assert float((waits[400:] > 1e-9).mean()) == pytest.approx(share, rel=0.04)


def test_as_many_are_there_as_come_while_one_is_there() -> None:
    """Little's law, in the M/M/1 of the textbook: the number there, counted, is rate times stay."""
    luck, shape, known = np.random.default_rng(7), (3000, 400), QUEUE["MM1_0.8_1"]
    arrivals = np.cumsum(luck.exponential(1 / 0.8, shape), axis=0)
    left = serve_by_urgency(arrivals, luck.exponential(1.0, shape), 1)
    moments = np.linspace(1000.0, 3000.0, 60)  # after the warm-up, before the last have come
    there = [float(((arrivals <= at) & (left > at)).sum(axis=0).mean()) for at in moments]
    stays = (left - arrivals)[(arrivals > moments[0]) & (arrivals < moments[-1])].mean()
    assert np.mean(there) == pytest.approx(0.8 * stays, rel=0.03)
    assert np.mean(there) == pytest.approx(known["L"], rel=0.06)
    hal = QUEUE["little_HAL"]
    assert hal["WIP"] == hal["TH_per_day"] * hal["CT_days"]


def test_rush_jobs_wait_as_long_as_non_preemptive_priority_says() -> None:
    """Rush 0.2 and others 0.6 a minute, a minute of work each (Cobham): there for 2 and 6 minutes, ± 6 %."""
    services = np.random.default_rng(4).exponential(1.0, (2500, 400))
    urgent, others = mean_wait(services, 0.8, urgent_share=0.25)
    assert urgent + 1 == pytest.approx(QUEUE["priority_MM1_0.2_0.6_1"]["W1"], rel=0.06)
    assert others + 1 == pytest.approx(QUEUE["priority_MM1_0.2_0.6_1"]["W2"], rel=0.06)


def test_a_line_with_parallel_machines_goes_at_the_rate_of_its_bottleneck() -> None:
    """Hopp and Spearman's line (2 h × 1, 5 h × 2, 10 h × 6, 3 h × 2): 20 h for one, then 0.4 an hour."""
    at = np.zeros((400, 1))
    for hours, machines in QUEUE["penny_fab_two"]["stations"]:
        at = serve_by_urgency(at, np.full((400, 1), float(hours)), machines)
    assert at[0, 0] == QUEUE["penny_fab_two"]["T0"]
    assert 300 / (at[399, 0] - at[99, 0]) == pytest.approx(QUEUE["penny_fab_two"]["rb"], rel=0.01)


def test_a_line_of_three_stations_does_what_simpy_makes_of_it() -> None:
    """Sixty jobs of different urgency through 1, 2 and 1 hands: the same moments from another simulator."""
    luck = np.random.default_rng(8)
    arrivals, times = np.cumsum(luck.exponential(3.0, 60)), luck.exponential(4.0, (60, 3))
    luck.shuffle(arrivals)
    hands, ready = (1, 2, 1), np.zeros(60)
    world = simpy.Environment()
    stations = [simpy.PriorityResource(world, count) for count in hands]

    def go(job: int) -> Any:
        yield world.timeout(arrivals[job])
        for number, station in enumerate(stations):
            with station.request(priority=job) as turn:
                yield turn
                yield world.timeout(times[job, number])
        ready[job] = world.now

    for job in range(60):
        world.process(go(job))
    world.run()
    at = arrivals[:, None]
    for number, count in enumerate(hands):
        at = serve_by_urgency(at, times[:, number : number + 1], count)
    assert at[:, 0] == pytest.approx(ready)


def test_an_oven_takes_what_fits_and_no_more() -> None:
    """Two sheets and a small one of an oven for two; a job of three loads takes three times as long."""
    amounts = np.array([1.0, 1.0, 0.5, 6.0])
    left = serve_in_loads(np.zeros((4, 1)), amounts, np.ones((4, 1)), Oven(2.0, 10.0))
    assert list(left[:, 0]) == [10.0, 10.0, 20.0, 50.0]


def test_an_oven_that_is_idle_waits_for_nobody() -> None:
    """What comes while a load is in goes into the next one."""
    arrivals = np.array([[3.0], [5.0], [6.0]])
    left = serve_in_loads(arrivals, np.ones(3), np.ones((3, 1)), Oven(4.0, 10.0))
    assert list(left[:, 0]) == [13.0, 23.0, 23.0]
