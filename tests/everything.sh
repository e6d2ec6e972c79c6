#!/usr/bin/env bash
# everything.sh: all that is checked, in the order of what is quickest to mend. Called by `make test`.
# DEV names the development environment. Ends with the honest code of the first thing that failed.
set -euo pipefail
cd "$(dirname "$0")/.."
dev=${DEV:-.venv/dev}
export OPENBLAS_NUM_THREADS=1

find_browser() {
  command -v chromium || command -v chromium-browser || command -v google-chrome
}

get_browser() {  # on Debian as root the browser can be had; elsewhere it is for the person to install
  [ "$(id -u)" = 0 ] && [ -e /etc/debian_version ] && command -v apt-get >/dev/null || return 1
  echo "no browser here: installing chromium ..."
  apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends chromium >/dev/null
}

chosen=()
if ! find_browser >/dev/null && ! { get_browser && find_browser >/dev/null; }; then
  if [ -n "${CI:-}" ]; then
    echo "FAILED: no chromium here and none could be installed; the browser tests are part of the promise" >&2
    exit 1
  fi
  chosen=(-m "not browser")
fi

say_loudly() {
  [ ${#chosen[@]} -eq 0 ] || printf '\n!!! NOT EVERYTHING RAN: no chromium on this machine, so no browser test and none\n!!! of the promises that rest on one. Install chromium and run make test again.\n\n'
}

say_loudly
run() { echo "== $*"; "$@"; }
run "$dev/bin/ruff" format --check
run "$dev/bin/ruff" check
run "$dev/bin/lint-imports"
run "$dev/bin/mypy"
echo "== pytest"
code=0
promises=()
[ ${#chosen[@]} -gt 0 ] || [ $# -gt 0 ] || promises=(-p tests.promises_kept)
PYTHONPATH=. "$dev/bin/pytest" -n 2 --dist loadfile ${promises[@]+"${promises[@]}"} ${chosen[@]+"${chosen[@]}"} "$@" || code=$?
say_loudly
exit "$code"
