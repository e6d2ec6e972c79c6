"""Every address of a bench with 20,000 batches and 200,000 readings: how long each takes on a really served bench.

    .venv/dev/bin/python -m benchmarks.crowded [batches readings]

Fills a new data folder (benchmarks.crowd), serves it, and asks every route once to warm up and three times to time,
with the first, a middle and the last of whatever it is about. Goal: lists and a material's page under 300 ms. Ends
with 1 where a page failed or a goal is missed.
"""

from __future__ import annotations

import json
import os
import re
import signal
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from benchmarks.urls import ask, wait_for

GOAL_S = 0.300
TIMES = 3
LISTS = ("", "lots/", "batches/", "log/", "tests/", "instruments/", "ingredients/", "buckets/", "past/", "happened/")
MATERIAL = re.compile(r"^lots/\d+/$")
ROUTES = """
import json, django; django.setup()
from django.urls import get_resolver
from django.conf import settings
def walk(patterns, before=""):
    for p in patterns:
        inner = getattr(p, "url_patterns", None)
        if inner is None: yield before + str(p.pattern)
        else: yield from walk(inner, before + str(p.pattern))
print(json.dumps(sorted(set(walk(get_resolver().url_patterns)))))
"""


@contextmanager
def crowded(batches: int, readings: int) -> Iterator[tuple[str, list[str], dict[str, int]]]:
    with tempfile.TemporaryDirectory() as folder:
        env = {**os.environ, "SLAKE_HOME": folder, "DJANGO_SETTINGS_MODULE": "slake.server.settings"}
        made = subprocess.run(
            [sys.executable, "-m", "benchmarks.crowd", str(batches), str(readings)],
            env=env,
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        asked = subprocess.run([sys.executable, "-c", ROUTES], env=env, capture_output=True, text=True, check=True)
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            port = probe.getsockname()[1]
        command = [sys.executable, "-c", "from slake.cli import main; main()", "serve", "--port", str(port)]
        with open(Path(folder) / "said.txt", "w", encoding="utf-8") as said:
            process = subprocess.Popen(command, env=env, stdout=said, stderr=subprocess.STDOUT)
        try:
            wait_for(f"http://127.0.0.1:{port}", process)
            yield f"http://127.0.0.1:{port}/", json.loads(asked.stdout), json.loads(made)
        finally:
            process.send_signal(signal.SIGINT)
            process.wait(timeout=30)


def addresses(routes: list[str], made: dict[str, int]) -> list[str]:
    """Each route with the first, a middle and the last thing it may be about."""
    found: list[str] = []
    for route in routes:
        if route.startswith(("static", "sample", "^")):
            continue
        last = made["Lot"] if route.startswith(("lots", "details")) else made["Batch"]
        last = made["Recipe"] if route.startswith("recipes") else last
        last = made["Reading"] if route.startswith("readings") else last
        for number in sorted({1, last // 2, last}):
            filled = re.sub(r"<int:[^>]+>", str(number), route)
            filled = filled.replace("<slug:test_id>", "fall_cone").replace("<slug:kind>", "batch")
            filled = filled.replace("<slug:subject>", "lot").replace("<slug:shape>", "wide")
            filled = filled.replace("<slug:key>", "yield_stress_pa" if "trend" in route else "mussel_shell")
            if "<" not in filled:
                found.append(filled)
    return list(dict.fromkeys(found))


def main() -> int:
    batches, readings = (int(text) for text in (sys.argv[1:3] or ("20000", "200000")))
    took: dict[str, float] = {}
    failed: list[str] = []
    with crowded(batches, readings) as (base, routes, made):
        print(f"bench with {json.dumps(made)}")
        for path in addresses(routes, made):
            begun = time.perf_counter()
            status, first, _, _ = ask(base + path)
            if status >= 500:
                failed.append(f"{status} {path}")
            if status == 200:
                more = [ask(base + path)[1] for _ in range(TIMES if time.perf_counter() - begun < 2 else 1)]
                took[path] = sorted([*more, first])[len(more) // 2]
    slow = sorted(took.items(), key=lambda one: -one[1])
    for path, seconds in slow[:15]:
        print(f"{1000 * seconds:8.1f} ms  /{path}")
    missed = [path for path, seconds in slow if seconds > GOAL_S and (path in LISTS or MATERIAL.match(path))]
    print(f"{len(took)} addresses; lists and materials over {1000 * GOAL_S:.0f} ms: {missed or 'none'}")
    print(f"failed: {failed or 'none'}")
    return 1 if missed or failed else 0


if __name__ == "__main__":
    sys.exit(main())
