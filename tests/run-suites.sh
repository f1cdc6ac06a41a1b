#!/bin/sh
# Runs each test program as its own process and closes with one line of counts.
passed=0; failed=0
log=$(mktemp)
trap 'rm -f "$log"' EXIT
for suite in "$@"; do
    if "$suite" >"$log" 2>&1; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        echo "FAILED: $suite"; cat "$log"
    fi
done
echo "suites: $passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
