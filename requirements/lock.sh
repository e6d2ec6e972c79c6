#!/usr/bin/env bash
# Remakes the two lock files from pyproject.toml. Needs uv on the PATH; writes no addresses.
set -euo pipefail
cd "$(dirname "$0")/.."
options=(--universal --python-version 3.11 --generate-hashes --no-header --no-annotate --no-emit-index-url --no-emit-find-links --quiet)
uv pip compile "${options[@]}" pyproject.toml requirements/build.in -o requirements/run.txt
uv pip compile "${options[@]}" pyproject.toml requirements/build.in --extra dev -c requirements/run.txt -o requirements/dev.txt
