#!/usr/bin/env bash
# The clean record of a demonstration with photographs: issues the pack, draws a picture
# for each frame (drawings, not photographs), receives them, adds what a person says, and
# verifies the record. The faults planted beside the clean record are not tried here:
# `cargo test from_phones` goes the same way and then plants each of them.
#
#   tests/photos/demo.sh JOB [OUT]        JOB: D-2201-P4, D-1106-P2, D-3314-P1, D-0627-P1, I-0512-P1
#
# needs: what draw.py needs; a build (`cargo build`). CUTBACK names another program.
# Leaves everything in OUT (target/demo/JOB): phone/, received/, issued/, verified/.
set -euo pipefail
here=$(cd "$(dirname "$0")/../.." && pwd)
job=$1
out=${2:-$here/target/demo/$job}
cutback=${CUTBACK:-$here/target/debug/cutback}
rm -rf "$out"
mkdir -p "$out"
cd "$out"
"$cutback" issue "$here/jobs/demo/$job.yaml" >/dev/null
pack=$(dirname "$(find issued -name pack.json)")
record=received/${pack#issued/}/record.yaml
clean=$here/jobs/demo/records/$job/clean/record.yaml
python3 "$here/tests/photos/draw.py" "$pack/pack.json" phone --seed 1 --list --record "$clean" --width 2000
# The record as it was filled, with nothing in its photo log yet.
mkdir -p "$(dirname "$record")"
sum=$(sha256sum "$pack/pack.json" | cut -d' ' -f1)
awk '/^photos:/ {print "photos: []"; skip = 1; next} skip && /^[a-z#]/ {skip = 0} !skip' "$clean" |
    sed "s/^  pack: .*/  pack: $sum/" > "$record"
# What an inspection found lies beside the record by the way that it names.
found=$(sed -n 's/^  as_found: *\([^ #]*\).*/\1/p' "$record")
if [ -n "$found" ]; then
    mkdir -p "$(dirname "$(dirname "$record")/$found")"
    cp "$(dirname "$clean")/$found" "$(dirname "$record")/$found"
fi
"$cutback" receive "$pack" --photos phone --frames phone/frames.csv
# A person looks through: a rule is in every picture.
sed -i 's/^    rule_seen:$/    rule_seen: yes/; s/^    by:$/    by: as signed on/' "$record"
"$cutback" verify "$record"
