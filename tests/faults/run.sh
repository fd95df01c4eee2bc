#!/usr/bin/env bash
# What happens when the world fails: processes killed, several at once, a full
# disk, a folder that can't be written, each call of the file system failing in
# turn. After each the folder holds the old state or the new, and the next run
# completes it.
#
#   tests/faults/run.sh [BINARY]      (KILLS=200)
#
# Needs cc and python3; a full disk and a read-only one are tried as root only.
# Prints a table at the end and ends with 1 where anything was found.
set -uo pipefail
cd "$(dirname "$0")/../.."
binary=$(realpath "${1:-target/debug/cutback}")
kills=${KILLS:-200}
work=$(mktemp -d)
mounted=
finish() {
    [ -z "$mounted" ] || umount "$mounted"
    rm -rf "$work"
}
trap finish EXIT
job=jobs/demo/K-0417-P1.yaml
failed=0
table=
row() { table+=$(printf '%-44s %-10s %s' "$1" "$2" "$3")$'\n'; }
fault() { echo "FAULT: $*" >&2; failed=$((failed + 1)); }
whole() { python3 tests/faults/check_issued.py "$1/issued" >"$work/whole" || { fault "$2: $(head -3 "$work/whole")"; return 1; }; }
# The next run makes good what is left, and leaves nothing lying about.
completes() {
    "$binary" issue --out "$1" "$job" >"$work/said" 2>&1 || { fault "$2: the next run fails: $(tail -2 "$work/said")"; return 1; }
    whole "$1" "$2, after the next run"
    local left
    left=$(find "$1" -name '.part-*' -o -name '.old-*' -o -name '.tmp*' | head -3)
    [ -z "$left" ] || fault "$2: left lying about: $left"
}
# A failing run says what failed in one line, and ends with 2.
told() {
    [ "$1" = 2 ] || fault "$3: exit code $1"
    grep -q '^cutback: ' "$2" || fault "$3: nothing said: $(head -1 "$2")"
    ! grep -q 'panicked' "$2" || fault "$3: panic: $(grep panicked "$2")"
}

# A binary of another tree refuses the job, and everything below would look like a fault.
"$binary" issue --out "$work/sound" "$job" >"$work/said" 2>&1 || {
    echo "$binary does not issue $job as it stands here: $(tail -2 "$work/said")" >&2
    exit 2
}

# ------------------------------------------------------------ several at once
before=$failed
for round in 1 2 3; do
    out=$work/at-once-$round
    for n in 1 2 3 4; do "$binary" issue --out "$out" "$job" >"$out.$n" 2>&1 & done
    wait
    whole "$out" "four at once"
    lines=$(wc -l <"$out/issued/register.jsonl")
    [ "$lines" = 1 ] || fault "four at once: $lines lines in the register"
done
row "four processes, the same job, three times" "12 runs" "$((failed - before)) faults"

# -------------------------------------------------------------------- killed
before=$failed
out=$work/timing
start=$(date +%s%N)
"$binary" issue --out "$out" "$job" >/dev/null 2>&1
span=$((($(date +%s%N) - start) / 1000))
late=0
out=$work/killed
for n in $(seq "$kills"); do
    # A third of them fall into the last tenth, where the files are written.
    if [ $((n % 3)) = 0 ]; then at=$((span * 9 / 10 + RANDOM * span / 5 / 32768)); else at=$((RANDOM * span / 32768)); fi
    rm -rf "$out.now"
    [ ! -d "$out" ] || cp -r "$out" "$out.now"
    "$binary" issue --out "$out.now" "$job" >/dev/null 2>&1 &
    pid=$!
    sleep "$(printf '%d.%06d' $((at / 1000000)) $((at % 1000000)))"
    if kill -9 "$pid" 2>/dev/null; then late=$((late + 1)); fi
    wait "$pid" 2>/dev/null
    [ ! -d "$out.now/issued" ] || whole "$out.now" "kill $n after $at us" || true
    # Every tenth is run to its end.
    [ $((n % 10)) != 0 ] || completes "$out.now" "kill $n"
done
row "killed at a random moment" "$kills kills" "$((failed - before)) faults, $late before the run's end"

# ------------------------------------------- each call fails in turn (preload)
before=$failed
if cc -shared -fPIC -O1 -o "$work/preload.so" tests/faults/preload.c -ldl 2>"$work/cc"; then
    rm -f "$work/calls"
    out=$work/counted
    FAULT_UNDER=$out FAULT_COUNT=$work/calls LD_PRELOAD=$work/preload.so \
        "$binary" issue --out "$out" "$job" >/dev/null 2>&1
    calls=$(wc -l <"$work/calls")
    [ "$calls" -gt 12 ] || fault "only $calls calls were seen"
    harmless=
    for turn in $(seq "$calls"); do
        # No space left and an input-output error, by turns.
        errno=$((turn % 2 ? 28 : 5))
        out=$work/turn-$turn
        FAULT_UNDER=$out FAULT_AT=$turn FAULT_ERRNO=$errno LD_PRELOAD=$work/preload.so \
            "$binary" issue --out "$out" "$job" >/dev/null 2>"$work/said"
        code=$?
        name="call $turn ($(sed -n "${turn}s/^[0-9]* //p" "$work/calls")) fails with $errno"
        if [ "$code" = 0 ]; then harmless="$harmless $turn"; else told "$code" "$work/said" "$name"; fi
        [ ! -d "$out/issued" ] || whole "$out" "$name"
        completes "$out" "$name"
        rm -rf "$out"
    done
    row "each of $calls file calls fails (ENOSPC, EIO)" "$calls runs" "$((failed - before)) faults; passed over:${harmless:- none}"
else
    row "each file call fails" "not run" "no C compiler: $(head -1 "$work/cc")"
fi

# ------------------------------------------- full, read-only, taken away, odd
before=$failed
if [ "$(id -u)" = 0 ] && mkdir "$work/disk" && mount -t tmpfs -o size=64k tmpfs "$work/disk" 2>/dev/null; then
    mounted=$work/disk
    runs=0
    for size in 64k 200k 800k 1500k 1700k 2400k; do
        mount -o remount,size="$size" "$work/disk"
        "$binary" issue --out "$work/disk" "$job" >/dev/null 2>"$work/said"
        code=$?
        [ "$code" = 0 ] || told "$code" "$work/said" "a disk of $size"
        [ ! -f "$work/disk/issued/register.jsonl" ] || whole "$work/disk" "a disk of $size"
        runs=$((runs + 1))
    done
    mount -o remount,size=20m "$work/disk"
    completes "$work/disk" "a disk that was full"
    mount -o remount,ro "$work/disk"
    "$binary" issue --out "$work/disk" jobs/demo/D-2201-P4.yaml >/dev/null 2>"$work/said"
    told "$?" "$work/said" "a read-only disk"
    whole "$work/disk" "a read-only disk"
    umount "$work/disk"
    mounted=
    row "a full disk in six sizes, a read-only one" "$((runs + 2)) runs" "$((failed - before)) faults"
else
    row "a full disk, a read-only one" "not run" "needs root and tmpfs"
fi

before=$failed
touch "$work/file"
"$binary" issue --out "$work/file" "$job" >/dev/null 2>"$work/said"
told "$?" "$work/said" "--out is a file"
"$binary" issue "$work/nowhere.yaml" >/dev/null 2>"$work/said"
told "$?" "$work/said" "no such job"
mkdir "$work/empty"
"$binary" check "$work/empty" >/dev/null 2>"$work/said"
told "$?" "$work/said" "an empty folder"
if [ -e /dev/full ]; then
    "$binary" check "$job" >/dev/full 2>"$work/said"
    told "$?" "$work/said" "results that can't be written"
fi
out=$work/odd
"$binary" issue --out "$out" "$job" >/dev/null 2>&1
rm "$out/issued/K-0417/RMU3-2/P1/pack.pdf"
completes "$out" "a file of an issued pack removed"
rm -r "$out/issued/K-0417"
completes "$out" "the folder of an issued pack removed"
printf 'x' | dd of="$out/issued/register.jsonl" bs=1 seek=40 conv=notrunc 2>/dev/null
"$binary" issue --out "$out" "$job" >/dev/null 2>"$work/said"
told "$?" "$work/said" "a changed register"
row "odd paths, files removed, a changed register" "8 runs" "$((failed - before)) faults"

echo
printf '%s' "$table"
[ "$failed" = 0 ] && echo "faults: all good" || { echo "faults: $failed" >&2; exit 1; }
