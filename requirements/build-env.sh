#!/usr/bin/env bash
# build-env.sh PYTHON TARGET LOCK STAMP: builds a virtual environment beside TARGET and renames it in,
# so that a server that runs from the old one never sees half an environment.
set -euo pipefail
python=$1 target=$2 lock=$3 stamp=$4
"$python" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null ||
  { echo "Python 3.11 or newer is needed; say which with: make PY=python3.12"; exit 1; }
"$python" -c 'import ensurepip, venv' 2>/dev/null ||
  { echo "This Python cannot make environments. On Debian or Ubuntu first: apt-get install python3-venv"; exit 1; }
new="$target.new.$$"
trap 'rm -rf "$new"' EXIT
rm -rf "$target".new.*
mkdir -p "$(dirname "$target")"
echo "building $target from $lock ..."
"$python" -m venv "$new"
"$new/bin/python" -m pip install -q --disable-pip-version-check --require-hashes -r "$lock"
"$new/bin/python" -m pip install -q --disable-pip-version-check --no-deps --no-build-isolation -e .
# scripts carry the path they were made under; give them the final one before the rename
final="$(cd "$(dirname "$target")" && pwd)/$(basename "$target")"
made="$(cd "$new" && pwd)"
grep -rlIF "$made" "$new/bin" "$new/pyvenv.cfg" | while IFS= read -r file; do sed -i "s|$made|$final|g" "$file"; done
old="$target.old.$$"
[ ! -e "$target" ] || mv "$target" "$old"
mv "$new" "$target"
touch "$stamp"
rm -rf "$target".old.*
