#!/usr/bin/env bash
# build-env.sh PYTHON TARGET LOCK STAMP: builds a virtual environment beside TARGET and renames it in,
# so that a server that runs from the old one never sees half an environment.
set -euo pipefail
python=$1 target=$2 lock=$3 stamp=$4
"$python" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null ||
  { echo "Python 3.11 or newer is needed; say which with: make PY=python3.12" >&2; exit 1; }
"$python" -c 'import ensurepip, venv' 2>/dev/null ||
  { echo "This Python cannot make environments. On Debian or Ubuntu first: apt-get install python3-venv" >&2; exit 1; }
mkdir -p "$(dirname "$target")"
final="$(cd "$(dirname "$target")" && pwd)/$(basename "$target")"
new="$final.new.$$" old="$final.old.$$"
trap 'rm -rf "$new"' EXIT
trap 'exit 130' INT TERM
rm -rf "$final".new.* "$final".old.*
echo "building $target from $lock (once; about a minute) ..."
"$python" -m venv "$new"
"$new/bin/python" -m pip install -qq --disable-pip-version-check --require-hashes -r "$lock"
"$new/bin/python" -m pip install -qq --disable-pip-version-check --no-deps --no-build-isolation -e .
# scripts carry the path they were made under; give them the final one before the rename
"$new/bin/python" - "$new" "$final" <<'END'
import pathlib, sys
made, final = (text.encode() for text in sys.argv[1:])
folder = pathlib.Path(sys.argv[1])
for file in [*(folder / "bin").iterdir(), folder / "pyvenv.cfg"]:
    if file.is_file() and not file.is_symlink() and made in (said := file.read_bytes()) and b"\0" not in said:
        file.write_bytes(said.replace(made, final))
END
[ ! -e "$final" ] || mv "$final" "$old"
mv "$new" "$final"
touch "$stamp"
rm -rf "$old"
