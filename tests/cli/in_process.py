"""The command called in the process of the tests, for what needs no process of its own: far quicker."""

from __future__ import annotations

import contextlib
import io
import subprocess
import sys
from unittest import mock

from slake.cli import main


def here(*words: str) -> subprocess.CompletedProcess[str]:
    """What the command prints and its code, as `test_commands.slake` gives them."""
    out, err, code = io.StringIO(), io.StringIO(), 0
    redirected = contextlib.redirect_stdout(out), contextlib.redirect_stderr(err)
    with redirected[0], redirected[1], mock.patch.object(sys, "argv", ["slake", *words]):
        try:
            main()
        except SystemExit as end:
            code = int(end.code or 0)
    return subprocess.CompletedProcess(list(words), code, out.getvalue(), err.getvalue())
