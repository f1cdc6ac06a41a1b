#!/bin/sh
# Runs each test program as its own process, shows what failed, and closes with one line of counts (tests, not programs).
passed=0; failed=0; programs=0
log=$(mktemp) || exit 2
trap 'rm -f "$log"' EXIT
for suite in "$@"; do
    programs=$((programs + 1))
    "$suite" >"$log" 2>&1
    code=$?
    # CUnit's table: tests, total, ran, passed, failed, inactive
    counts=$(awk '$1 == "tests" { print $4, $5 }' "$log")
    suite_passed=${counts% *}; suite_failed=${counts#* }
    # A program that died, ran less than it registered, or reached no table counts as one failure.
    if [ -z "$counts" ]; then
        suite_passed=0; suite_failed=1
    elif [ "$code" -ne 0 ] && [ "$suite_failed" -eq 0 ]; then
        suite_failed=1
    fi
    if [ "$suite_failed" -ne 0 ]; then
        echo "FAILED: $suite (exit $code)"; cat "$log"; echo
    fi
    passed=$((passed + suite_passed)); failed=$((failed + suite_failed))
done
echo "suites: $programs programs, $passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
