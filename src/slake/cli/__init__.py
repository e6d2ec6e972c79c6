"""The command `slake`. Commands that need no records never start Django."""

from __future__ import annotations

import os
import sys

from slake.ground.problems import Problem

__all__ = ["main"]


def main() -> None:
    """One sentence on stderr and code 2 for what a person can mend; an id and code 1 for our own faults."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    from .app import app

    try:
        app()
    except Problem as problem:
        print(f"slake: {problem}", file=sys.stderr)
        sys.exit(2)
    except KeyboardInterrupt:
        print("\nstopped", file=sys.stderr)
        sys.exit(130)
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(0)
    except Exception as error:
        print(f"slake: {_logged(error)}", file=sys.stderr)
        sys.exit(1)


def _logged(error: Exception) -> str:
    """Put the trace into the log of the data folder and give the sentence that names it."""
    import secrets
    import traceback
    from datetime import UTC, datetime

    from slake.server.home import home

    error_id = secrets.token_hex(4)
    try:
        place = home()
        place.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        with open(place.log, "a", encoding="utf-8") as log:
            log.write(f"{datetime.now(UTC):%Y-%m-%d %H:%M:%S} ERROR slake.cli {error_id}\n")
            log.writelines(traceback.format_exception(error))
    except OSError:
        return f"something went wrong inside slake ({type(error).__name__}), and it could not be written to the log"
    return f"something went wrong inside slake; report it with the lines after {error_id} in {place.log}"
