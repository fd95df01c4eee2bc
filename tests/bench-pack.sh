#!/usr/bin/env bash
# One pack, cold: `cutback issue` beside the typesetter's own command line on the
# same document, data and fonts. Whole processes, by turns, so that a machine
# whose speed drifts slows both.
#
#   tests/bench-pack.sh            (RUNS=10)
#
# Builds the release binary, and where there is no `typst` of the same version
# (TYPST=… names one) installs it from the registry under target/bench; both take
# some twenty minutes on two cores. Prints least, median and most, and the ratio
# pair by pair.
set -euo pipefail
cd "$(dirname "$0")/.."
version=$(sed -n 's/^typst = "=\(.*\)"/\1/p' Cargo.toml)
runs=${RUNS:-10}
bench=$PWD/target/bench
typst=${TYPST:-$bench/bin/typst}
binary=${CUTBACK:-target/release/cutback}
mkdir -p "$bench"
if [ ! -x "$typst" ]; then
    cargo install --quiet --locked --root "$bench" --version "$version" typst-cli
fi
case $("$typst" --version) in
    *" $version"*) ;;
    *) echo "typst is not $version" >&2; exit 2 ;;
esac
[ -x "$binary" ] || cargo build --quiet --release

document=$bench/document
rm -rf "$document"
EXPORT=$document cargo test --quiet export_a_pack >/dev/null
python3 - "$typst" "$binary" "$document" "$runs" <<'PY'
import os, platform, resource, shutil, statistics, subprocess, sys, tempfile, time
typst, binary, document, runs = sys.argv[1:4] + [int(sys.argv[4])]
work = tempfile.mkdtemp()
job = "jobs/demo/D-2201-P4.yaml"

def ours(n):
    return [binary, "issue", "--out", f"{work}/out-{n}", job]

def theirs(n):
    return [typst, "compile", "--root", document, "--ignore-system-fonts", "--font-path", f"{document}/fonts",
            "--pdf-standard", "a-3a,ua-1", "--creation-timestamp", "1935100800",
            f"{document}/pack.typ", f"{work}/{n}.pdf"]

def timed(command):
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    start = time.perf_counter()
    done = subprocess.run(command, capture_output=True, text=True)
    wall = time.perf_counter() - start
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    if done.returncode:
        sys.exit(f"{command}: {done.stderr[-800:]}")
    return wall, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime

timed(ours("warm")), timed(theirs("warm"))
pairs = []
for n in range(runs):
    # By turns, and the first of a pair by turns as well.
    if n % 2:
        b = timed(theirs(n))
        a = timed(ours(n))
    else:
        a = timed(ours(n))
        b = timed(theirs(n))
    pairs.append((a, b))

def row(name, values, unit="s"):
    print(f"{name:34} {min(values):8.3f} {statistics.median(values):8.3f} {max(values):8.3f} {unit}")

print(f"{platform.machine()}, {os.cpu_count()} cores, {runs} pairs; {subprocess.run([typst, '--version'], capture_output=True, text=True).stdout.strip()}")
print(f"{'':34} {'least':>8} {'median':>8} {'most':>8}")
for at, what in ((0, "wall"), (1, "processor")):
    row(f"cutback issue, {what}", [a[at] for a, _ in pairs])
    row(f"typst compile, {what}", [b[at] for _, b in pairs])
    row(f"ratio, {what}", [a[at] / b[at] for a, b in pairs], "")
shutil.rmtree(work)
PY
