"""Work spread over this machine's cores or over a cluster; the answer is the same.

A block of sides depends on its number alone, and outcomes are handed on in the order of the
tasks, so it does not matter who computes which, how many there are, or that one is lost.
"""

from __future__ import annotations

import os
import pickle
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import CancelledError, ThreadPoolExecutor
from itertools import groupby, islice
from typing import Any

from rimwright.bending.odds_blocks import Mapper, Outcome, Task, run_task
from rimwright.bending.odds_case import OddsCase
from rimwright.errors import DesignError, RimwrightError

#: Called with how many tasks are done and how many there are.
Progress = Callable[[int, int], None]
#: A cluster that does not answer in this time is not there. [s]
_ANSWER_S = 5
#: Tasks sent together: a message then costs little beside the work.
_BUNDLE = 4


def _quiet(_done: int, _of: int) -> None:
    """Tell nobody."""


def cores() -> int:
    """Cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def on_threads(workers: int | None = None, progress: Progress = _quiet) -> Mapper:
    """A mapper on threads of this process; the kernels leave Python alone while they run."""

    def mapper(cases: Sequence[OddsCase], tasks: Sequence[Task]) -> Iterator[Outcome]:
        pool = ThreadPoolExecutor(workers or cores())
        try:
            futures = [pool.submit(run_task, cases[task.case], task) for task in tasks]
            for done, future in enumerate(futures, 1):
                yield future.result()
                progress(done, len(tasks))
        finally:
            # On Ctrl-C what has not begun never does.
            pool.shutdown(wait=True, cancel_futures=True)

    return mapper


def on_cluster(address: str, progress: Progress = _quiet) -> Mapper:
    """A mapper on a Dask cluster, such as "tcp://127.0.0.1:8786".

    A task that a lost worker had is done again by another, since Dask keeps what it was asked.

    Raises
    ------
    DesignError
        If nothing answers there, or Dask is not installed.
    """

    def mapper(cases: Sequence[OddsCase], tasks: Sequence[Task]) -> Iterator[Outcome]:
        client = _client(address)
        try:
            yield from _on_client(client, cases, tasks, progress)
        finally:
            client.close()

    return mapper


def _on_client(
    client: Any, cases: Sequence[OddsCase], tasks: Sequence[Task], progress: Progress
) -> Iterator[Outcome]:
    import distributed

    # A case is itself a task: scattered data would be lost with its worker, a task is redone.
    held = [
        client.submit(
            _unpacked, pickle.dumps(case), key=f"rimwright-case-{i}-{os.urandom(4).hex()}"
        )
        for i, case in enumerate(cases)
    ]
    # Dask sends work to where its case is: so it is everywhere.
    client.replicate(held)
    futures = [
        client.submit(_together, held[together[0].case], together, pure=False)
        for together in _bundles(tasks)
    ]
    done = 0
    try:
        for future in futures:
            outcomes = future.result()
            future.release()
            yield from outcomes
            done += len(outcomes)
            progress(done, len(tasks))
    except RimwrightError:
        raise
    except (OSError, RuntimeError, CancelledError, distributed.KilledWorker) as error:
        raise DesignError(
            f"a cluster that gave up ({type(error).__name__})",
            "workers that live and run this version of Rimwright",
            "look at the workers' logs, or leave out `--cluster`",
        ) from error
    finally:
        client.cancel([future for future in futures if not future.done()])


def _bundles(tasks: Sequence[Task]) -> Iterator[list[Task]]:
    """Neighbours of one case, few enough that a lost worker costs little."""
    for _, of_case in groupby(tasks, key=lambda task: task.case):
        waiting = iter(of_case)
        while together := list(islice(waiting, _BUNDLE)):
            yield together


def _together(case: OddsCase, tasks: list[Task]) -> list[Outcome]:
    return [run_task(case, task) for task in tasks]


def _unpacked(packed: bytes) -> OddsCase:
    case = pickle.loads(packed)
    assert isinstance(case, OddsCase)
    return case


def _client(address: str) -> Any:
    try:
        import distributed
    except ImportError:
        raise DesignError(
            "no Dask in this installation",
            "the packages of `rimwright[cluster]`",
            "install `rimwright[cluster]`, or leave out `--cluster`",
        ) from None
    client = None
    try:
        connect: Any = distributed.Client
        client = connect(address, timeout=_ANSWER_S, set_as_default=False)
        client.wait_for_workers(1, timeout=_ANSWER_S)
    except TimeoutError as error:
        if client is None:
            raise _no_answer(address) from error
        client.close()
        raise DesignError(
            f"a cluster without workers at '{address}'",
            "at least one worker",
            f"start `dask worker {address}`, or leave out `--cluster`",
        ) from error
    except (OSError, ValueError, RuntimeError) as error:
        raise _no_answer(address) from error
    return client


def _no_answer(address: str) -> DesignError:
    return DesignError(
        f"nothing that answers at '{address}'",
        "a Dask scheduler such as tcp://127.0.0.1:8786",
        "start `dask scheduler` there with its workers, or leave out `--cluster`",
    )
