#!/bin/sh
# Runs the parts named as arguments (shell commands), each of which closes with
# "...: N passed, N failed", and closes with the sum. A part that fails without
# saying how often counts as one failure.
passed=0; failed=0
log=$(mktemp) || exit 2
trap 'rm -f "$log"' EXIT
for part in "$@"; do
    sh -c "$part" >"$log" 2>&1
    code=$?
    cat "$log"
    counts=$(sed -nE 's/^(.*[ :])?([0-9]+) passed, ([0-9]+) failed$/\2 \3/p' "$log" | tail -n 1)
    part_passed=${counts% *}; part_failed=${counts#* }
    if [ -z "$counts" ]; then
        echo "no counts from: $part (exit $code)"
        part_passed=0; part_failed=1
    elif [ "$code" -ne 0 ] && [ "$part_failed" -eq 0 ]; then
        part_failed=1
    fi
    passed=$((passed + part_passed)); failed=$((failed + part_failed))
done
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
