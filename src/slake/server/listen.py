"""Serving pages on a taken port until it is stopped, with the daily copies made meanwhile."""

from __future__ import annotations

import socket
from threading import Event, Thread

from django.conf import settings
from threadpoolctl import threadpool_limits
from waitress.server import create_server

from .home import Home
from .start import go_on_working, keep_copies
from .wsgi import application

THREADS = 4
TIMER_S = 600.0


def serve(listener: socket.socket, home: Home) -> None:
    """Serve until interrupted; a timer makes the daily copies meanwhile.

    Linear algebra gets one thread: the matrices are small, and threads of several requests only wait for each other.
    """
    server = create_server(
        application,
        sockets=[listener],
        threads=THREADS,
        ident=None,
        max_request_body_size=2 * settings.LONGEST_REQUEST_BYTES,
        max_request_header_size=64 * 1024,
        channel_timeout=60,
    )
    go_on_working()
    stopping = Event()
    Thread(target=_timer, args=(stopping, home), daemon=True, name="daily copies").start()
    try:
        with threadpool_limits(limits=1):
            server.run()
    finally:
        stopping.set()
        server.close()


def _timer(stopping: Event, home: Home) -> None:
    while not stopping.wait(TIMER_S):
        keep_copies(home)
