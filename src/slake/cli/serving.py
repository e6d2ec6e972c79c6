"""`slake start` and `slake serve`: the bench as pages, on this machine or on one address of the local network."""

from __future__ import annotations

import os
import sys
from typing import Annotated

import typer

Port = Annotated[int, typer.Option(min=1, max=65535, help="The port to serve on.")]
Lan = Annotated[
    str,
    typer.Option(metavar="ADDRESS", help="Serve on this one address of the local network; devices pair with a code."),
]
PORT = 8000


def start(port: Port = PORT) -> None:
    """Make everything ready, propose the sample workshop's next batch, then serve on this machine."""
    _serve(port, "", show_next=True)


def serve(port: Port = PORT, lan: Lan = "") -> None:
    """Serve the pages on this machine, or with --lan on one address of the local network."""
    _serve(port, lan, show_next=False)


def _serve(port: int, lan: str, *, show_next: bool) -> None:
    """The port is taken first: a busy one is told before anything is made."""
    from slake.server.address import LOOPBACK, bind, lan_address, new_code

    address, code = (lan_address(lan), new_code()) if lan else (LOOPBACK, "")
    with bind(address, port) as listener:
        os.environ["SLAKE_LAN_ADDRESS"], os.environ["SLAKE_PAIRING_CODE"] = (address, code) if lan else ("", "")
        place = ready()
        if show_next:
            _show_next()
        from slake.server.files import in_use
        from slake.server.listen import serve as serve_pages

        with in_use(place):
            _announce(f"http://{address}:{listener.getsockname()[1]}/", code)
            serve_pages(listener, place)


def ready():
    """Start Django and bring the data folder up."""
    from datetime import UTC, datetime

    import django

    os.environ["DJANGO_SETTINGS_MODULE"] = "slake.server.settings"
    django.setup()
    from django.conf import settings

    from slake.server.start import bring_up

    bring_up(settings.HOME, datetime.now(UTC), _say)
    return settings.HOME


def _show_next() -> None:
    """The sample workshop's next batch, with its chance and reason."""
    from datetime import UTC, datetime

    from slake.server.greeting import next_of_sample

    for line in next_of_sample(datetime.now(UTC)):
        _say(line)


def _announce(url: str, code: str) -> None:
    if not code:
        _say(f"slake is at {url} (stop it with Ctrl-C)")
        return
    import segno

    from slake.server.address import shown_code

    segno.make(url, error="m", micro=False).terminal(out=sys.stdout, compact=True, border=2)
    _say(f"slake is at {url} for devices on this network (stop it with Ctrl-C)")
    _say(f"pairing code: {shown_code(code)} (each device asks for it once)")
    _say("what is typed travels unencrypted: use a network you trust")


def _say(line: str) -> None:
    print(line, flush=True)
