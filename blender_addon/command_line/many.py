"""The same work for many things, shared out among the cores of the machine."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager, suppress
from multiprocessing.connection import Connection
from typing import TypeVar

from ..engine.errors import CourselineError
from .stopping import STOPPED

Thing = TypeVar("Thing")
Done = TypeVar("Done")


def cores() -> int:
    """How many cores this process may use."""
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:  # not every system tells
        return os.cpu_count() or 1


def for_each(
    work: Callable[[Thing], Done], things: Sequence[Thing], tell: Callable[[int], None], workers: int
) -> list[Done]:
    """Do work for each thing, and give what comes of it in the order of the things, whoever did what and when.

    Processes are started afresh (`spawn`), as every system can; so `work` is a function of a module, and it and the
    things can be pickled. When this process is stopped, or dies, they end with it at once.

    Parameters
    ----------
    tell : callable
        Told how many are done, after each.
    workers : int
        Processes to share the work among; with one it is done in this process.

    Raises
    ------
    CourselineError
        If the system ends one of the processes, as it does where memory runs out.
    """
    workers = min(workers, len(things))
    if workers <= 1:
        done = []
        for thing in things:
            done.append(work(thing))
            tell(len(done))
        return done
    with _pool(workers) as pool:
        with _no_interrupt():  # the processes are started here, and leave Ctrl-C to this one from the first
            futures = [pool.submit(work, thing) for thing in things]
        for number, future in enumerate(as_completed(futures), start=1):
            try:
                future.result()
            except BrokenProcessPool as fault:
                raise CourselineError("the system ended one of the processes; try again with --cores 1") from fault
            tell(number)
        return [future.result() for future in futures]


@contextmanager
def _pool(workers: int) -> Iterator[ProcessPoolExecutor]:
    """Processes that live no longer than this one holds its end of a line to them, and none after a fault."""
    context = multiprocessing.get_context("spawn")
    before = set(multiprocessing.active_children())
    heard, held = context.Pipe(duplex=False)
    pool = ProcessPoolExecutor(workers, context, initializer=_begin, initargs=(heard,))
    try:
        yield pool
    except BaseException:
        for process in set(multiprocessing.active_children()) - before:
            process.terminate()
        raise
    finally:
        pool.shutdown(cancel_futures=True)
        held.close()
        heard.close()


@contextmanager
def _no_interrupt() -> Iterator[None]:
    """Put Ctrl-C off for a moment, so that processes are started whole; they never hear it themselves.

    A process takes over which signals are held back, but not what is done about them; and what one thread holds back
    another hears.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    heard: list[int] = []
    before = signal.signal(signal.SIGINT, lambda number, _: heard.append(number))
    masks = hasattr(signal, "pthread_sigmask")  # on Windows each process ignores it by itself, once it has begun
    if masks:
        signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        if masks:
            signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGINT})
        signal.signal(signal.SIGINT, before)
    if heard:
        raise KeyboardInterrupt


def _begin(line: Connection) -> None:
    """Leave Ctrl-C to the process that started this one, and end if that dies and so lets go of the line."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with, args=(line,), daemon=True).start()


def _end_with(line: Connection) -> None:
    with suppress(EOFError, OSError):
        line.recv()
    os._exit(STOPPED)
