#!/bin/sh
# Runs the fuzz targets one after the other, each for SECONDS, under the address and undefined-behaviour sanitizers: first what
# was found before (found/TARGET/), then from the seeds and from what earlier runs kept in BUILD/fuzz/corpus. An input that
# crashes, hangs, leaks or breaks a promise stays in BUILD/fuzz/ and is told.
# usage: run.sh SECONDS TARGET...   (BUILD names the build folder)
cd "$(dirname "$0")/../.." || exit 2
seconds=$1; shift
build=${BUILD:-build}/fuzz
case $build in /*) ;; *) build=$PWD/$build ;; esac # the targets go to folders of their own
sanitize='-fsanitize=address,undefined -fno-sanitize-recover=all'
sh .make/install-packages.sh torture || exit 1

programs=
for target in "$@"; do programs="$programs $build/tests/fuzz/$target"; done
make --no-print-directory --silent -j2 CC=clang BUILD="$build" "CFLAGS=-O1 -g -fno-omit-frame-pointer -fsanitize=fuzzer-no-link $sanitize" \
    "LDFLAGS=$sanitize" $programs || exit 1
sh tests/fuzz/seeds.sh "$build/seeds"

passed=0; failed=0; executions=0
log=$(mktemp) || exit 2
trap 'rm -f "$log"' EXIT
run_target() { # $1 target; false after telling what was found
    found=tests/fuzz/found/$1
    if [ -d "$found" ] && ! "$build/tests/fuzz/$1" -timeout=300 "$found"/* >"$log" 2>&1; then
        echo "FAILED: $1 fails again on an input of $found"; tail -n 40 "$log"; return 1
    fi
    case $1 in numbers) longest=100 ;; options) longest=400 ;; study_file|studies) longest=2000 ;; *) longest=10000 ;; esac
    mkdir -p "$build/corpus/$1"
    started=$(date +%s)
    "$build/tests/fuzz/$1" -max_total_time="$seconds" -max_len=$longest -timeout=300 -rss_limit_mb=3000 -print_final_stats=1 \
        -dict=tests/fuzz/words.dict -artifact_prefix="$build/$1-" "$build/corpus/$1" "$build/seeds/$1" >"$log" 2>&1
    code=$?
    n=$(awk '/^stat::number_of_executed_units:/ { print $2 }' "$log")
    executions=$((executions + ${n:-0}))
    echo "fuzz $1: ${n:-0} executions in $(($(date +%s) - started)) s, exit $code"
    [ $code -eq 0 ] && [ "${n:-0}" -gt 0 ] && return 0
    echo "FAILED: $1"; tail -n 60 "$log"
    return 1
}
for target in "$@"; do
    if run_target "$target"; then passed=$((passed + 1)); else failed=$((failed + 1)); fi
done
echo "fuzz: $executions executions in all"
echo "fuzz: $passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
