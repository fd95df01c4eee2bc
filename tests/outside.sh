#!/usr/bin/env bash
# Checks of an issued pack with tools that cargo test does not need: qpdf reads
# the PDF's structure, pdfinfo its claims, pdftotext its words, sha256sum the
# folder. Needs qpdf and poppler-utils (Debian: apt-get install qpdf
# poppler-utils) and a built binary; says what is missing and fails without it.
set -euo pipefail
cd "$(dirname "$0")/.."
for tool in qpdf pdfinfo pdftotext pdfdetach sha256sum; do
    command -v "$tool" >/dev/null || { echo "needs $tool" >&2; exit 2; }
done
out=$(mktemp -d)
trap 'rm -rf "$out"' EXIT
for job in D-2201-P4 K-0417-P1; do
    cargo run --quiet -- issue --out "$out" "jobs/demo/$job.yaml" >/dev/null
done
for pdf in "$out"/issued/*/*/*/pack.pdf; do
    folder=$(dirname "$pdf")
    echo "== ${folder#"$out"/issued/}"
    (cd "$folder" && sha256sum -c SHA256SUMS)
    qpdf --check "$pdf" >/dev/null
    pdfinfo "$pdf" 2>/dev/null | grep -E '^(Title|Pages|Tagged|PDF version)'
    pdfinfo "$pdf" 2>/dev/null | grep -q '^Tagged: *yes'
    # What is attached is what was issued, byte for byte.
    pdfdetach -save 1 -o "$out/attached.json" "$pdf" 2>/dev/null
    cmp "$out/attached.json" "$folder/pack.json"
    # Every key figure of the summary stands in the text.
    text=$(pdftotext "$pdf" - 2>/dev/null)
    python3 - "$folder/pack.json" <<'PY' | while read -r figure; do
import json, sys
for row in json.load(open(sys.argv[1]))["summary"]["key_figures"]:
    print(row["text"])
PY
        grep -qF "$figure" <<<"$text" || { echo "not in the text: $figure" >&2; exit 1; }
    done
    for claim in pdfaid:part pdfuaid:part; do
        found=$(qpdf --qdf --object-streams=disable "$pdf" - | grep -ac "$claim" || true)
        [ "$found" -gt 0 ] || { echo "no claim $claim" >&2; exit 1; }
    done
done
echo "outside checks: all good"
