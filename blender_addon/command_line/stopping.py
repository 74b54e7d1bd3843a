"""Ctrl-C while Blender renders: it swallows the interrupt, and would go on to the end."""

from __future__ import annotations

import os
import signal
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager

GRACE = 1.0
"""How long Python is given to stop of itself before the process is ended [s] (ours)."""
STOPPED = 130
"""The exit status of what was stopped by Ctrl-C, as shells count it: 128 and the number of the signal."""
STOPPED_WORDS = "courseline: stopped; nothing half-written is left"
_OVER = b"\0"


@contextmanager
def stoppable(clean: Callable[[], None]) -> Iterator[None]:
    """Let Ctrl-C stop a task of which Python's own interrupt may be lost.

    Python raises its interrupt in the main thread once that runs Python code again. While Blender renders, that is in
    one of its callbacks, where Blender prints the interrupt and goes on. So a thread listens too: if the task has not
    ended soon after Ctrl-C, it cleans up and ends the process.

    Parameters
    ----------
    clean : callable
        Removes what the task leaves behind, and says so.
    """
    if threading.current_thread() is not threading.main_thread():  # no signal reaches it
        yield
        return
    heard, told = socket.socketpair()
    told.setblocking(False)
    over = threading.Event()
    before = signal.set_wakeup_fd(told.fileno(), warn_on_full_buffer=False)
    listener = threading.Thread(target=_listen, args=(heard, over, clean), daemon=True)
    listener.start()
    try:
        yield
    finally:
        over.set()
        signal.set_wakeup_fd(before)
        told.send(_OVER)
        listener.join()
        heard.close()
        told.close()


def _listen(heard: socket.socket, over: threading.Event, clean: Callable[[], None]) -> None:
    while (number := heard.recv(1)) not in (_OVER, b""):
        if number[0] == signal.SIGINT and not over.wait(GRACE):
            try:
                clean()
            finally:
                os._exit(STOPPED)
