#!/usr/bin/env bash
# start.sh: how long it takes from a bare clone to a served page, how long a second start takes, and how much is installed.
# Run: bash benchmarks/start.sh      (PORT=8123 for a port of your choice; WHEEL=1 also tries `pip install .`)
# Prints each figure with the target of the project beside it, and ends with code 1 when one is missed.
set -euo pipefail
here="$(cd "$(dirname "$0")/.." && pwd)"
port=${PORT:-$(python3 -c 'import socket; s = socket.socket(); s.bind(("127.0.0.1", 0)); print(s.getsockname()[1])')}
place="$(mktemp -d)"
server=""
stop() { [ -z "$server" ] || { kill -INT -- "-$server" 2>/dev/null || true; wait "$server" 2>/dev/null || true; server=""; }; }
trap 'stop; rm -rf "$place"' EXIT
missed=0

now() { date +%s.%N; }
since() { awk -v a="$1" -v b="$(now)" 'BEGIN { printf "%.1f", b - a }'; }
figure() {  # words, figure, unit, target
  printf '%-44s %8s %-3s (target: under %s)\n' "$1" "$2" "$3" "$4"
  awk -v a="$2" -v b="$4" 'BEGIN { exit !(a < b) }' || missed=1
}
served() {  # until the first page answers with 200
  for _ in $(seq 3000); do
    kill -0 "$server" 2>/dev/null || { echo "slake ended before it served a page:"; cat "$place/said"; exit 1; }
    if python3 - "$port" <<'END' 2>/dev/null; then return; fi
import sys, urllib.request
with urllib.request.urlopen(f"http://127.0.0.1:{sys.argv[1]}/", timeout=5) as answer:
    sys.exit(answer.status != 200)
END
    sleep 0.1
  done
  echo "no page within five minutes:"; cat "$place/said"; exit 1
}
begin() { set -m; "$@" >"$place/said" 2>&1 & server=$!; set +m; }

export SLAKE_HOME="$place/home"
git clone -q "$here" "$place/clone"
cd "$place/clone"
t=$(now); begin make run PORT="$port"; served
figure "bare clone to served page: make run" "$(since "$t")" s 180
sed 's/^/    | /' "$place/said"
stop
t=$(now); begin make run PORT="$port"; served
figure "second start: make run" "$(since "$t")" s 5
stop
figure "installed: du -sm .venv/run" "$(du -sm .venv/run | cut -f1)" MB 450

if [ -n "${WHEEL:-}" ]; then
  export SLAKE_HOME="$place/home-of-wheel"
  t=$(now)
  python3 -m venv "$place/plain"
  "$place/plain/bin/pip" install -qq --disable-pip-version-check .
  cd "$place"
  begin "$place/plain/bin/slake" serve --port "$port"; served
  figure "pip install . to served page: slake serve" "$(since "$t")" s 180
  stop
fi
echo "on: $(nproc) cores, $(python3 -V), $(uname -sm)"
exit "$missed"
