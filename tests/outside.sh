#!/usr/bin/env bash
# Issued packs read with tools that are not ours: sha256sum the folder, qpdf the
# file's structure, poppler its words and fonts, pikepdf its tags and claims
# (tests/read_back.py).
#
# Installs what is missing: qpdf and poppler-utils by apt-get where it is root,
# pikepdf by pip into a folder of its own under target/. Exit codes: 0 every
# check held, 1 one failed, 3 not run, because the tools are not to be had.
set -euo pipefail
cd "$(dirname "$0")/.."
out=$(mktemp -d)
trap 'rm -rf "$out"' EXIT

not_run() {
    echo "########################################################" >&2
    echo "## OUTSIDE CHECKS NOT RUN: $*" >&2
    echo "########################################################" >&2
    exit 3
}

missing() {
    for tool in qpdf pdfinfo pdftotext pdfdetach pdffonts sha256sum python3; do
        command -v "$tool" >/dev/null || echo "$tool"
    done
}
if [ -n "$(missing)" ] && [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
    { apt-get update && apt-get install -y --no-install-recommends qpdf poppler-utils python3 python3-venv; } \
        >"$out/apt.log" 2>&1 || tail -3 "$out/apt.log" >&2
fi
[ -z "$(missing)" ] || not_run "no $(missing | tr '\n' ' ')"

python=python3
if ! python3 -c 'import pikepdf' 2>/dev/null; then
    venv=target/outside-venv
    python=$venv/bin/python
    if ! "$python" -c 'import pikepdf' 2>/dev/null; then
        { python3 -m venv "$venv" && "$venv/bin/pip" install --quiet pikepdf; } >&2 ||
            not_run "pikepdf is not to be had by pip"
    fi
fi

failed=0
check() {
    local what=$1
    shift
    if "$@"; then echo "ok     $what"; else echo "FAILED $what"; failed=1; fi
}
poppler() { "$@" 2>/dev/null; }
embedded() {
    # The columns "emb" and "uni": every face in the file, with its characters.
    poppler pdffonts "$1" | awk 'NR > 2 { n++; if ($(NF-4) != "yes" || $(NF-2) != "yes") bad = 1 } END { exit bad || !n }'
}
tagged() { poppler pdfinfo "$1" | grep -q '^Tagged: *yes'; }
attached() { poppler pdfdetach -save 1 -o "$out/attached.json" "$1" && cmp "$out/attached.json" "$2"; }

cargo build --quiet
for job in jobs/demo/*.yaml; do
    # Those that the tool refuses have no pack to be read.
    target/debug/cutback issue --out "$out" "$job" >/dev/null || true
done
packs=0
for pdf in "$out"/issued/*/*/*/pack.pdf; do
    [ -f "$pdf" ] || continue
    folder=$(dirname "$pdf")
    packs=$((packs + 1))
    echo "== ${folder#"$out"/issued/}"
    check "sums" bash -c "cd '$folder' && sha256sum --quiet -c SHA256SUMS"
    check "qpdf --check" bash -c "qpdf --check '$pdf' >'$out/qpdf' 2>&1 || { cat '$out/qpdf'; false; }"
    check "fonts embedded (pdffonts)" embedded "$pdf"
    check "tagged (pdfinfo)" tagged "$pdf"
    check "attachment is pack.json (pdfdetach)" attached "$pdf" "$folder/pack.json"
    "$python" tests/read_back.py "$folder" || failed=1
done
# Random texts and foreign syntax in every text of a job come out as themselves.
"$python" tests/untrusted.py target/debug/cutback 4 || failed=1
if [ "$packs" -lt 2 ]; then
    echo "FAILED only $packs packs were issued" >&2
    failed=1
fi
[ "$failed" = 0 ] || { echo "outside checks: FAILED" >&2; exit 1; }
echo "outside checks: all good, $packs packs"
