"""One peer answering in JSON lines: a line in (peer, problem, batches, seed), a line out (the next recipe).

python -m benchmarks.peers KIND     with KIND one of plain, processes, torch
"""

from __future__ import annotations

import importlib
import json
import sys
import traceback
from typing import Any

KINDS = {"plain": "plain_answers", "processes": "process_answers", "torch": "torch_answers"}


def main(kind: str) -> int:
    answers: Any = importlib.import_module(f"benchmarks.peers.{KINDS[kind]}")
    for line in sys.stdin:
        try:
            said = answers.answer(json.loads(line))
        except Exception:
            said = {"error": traceback.format_exc()}
        print(json.dumps(said), flush=True)
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1]))
