#!/usr/bin/env bash
# Makes the lock files anew, for all systems and all Pythons from 3.11, with hashes. Needs the `uv` tool from the package index.
set -euo pipefail
cd "$(dirname "$0")"
for name in "" "-test"; do
  uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-header --no-annotate \
    "requirements$name.in" -o "lock$name.txt" "$@"
done
