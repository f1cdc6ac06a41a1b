#!/bin/sh
# Every call of the program in the golden cases, run again and again with one allocation or one call to the system failing
# (tests/faults/torture.c says how each is judged).
# usage: tests/faults/torture.sh quick|full [CASE...]   (BUILD names the build folder, JOBS=2 how many cases run at once)
# quick: each way to an allocation once in all cases together, and a few calls to the system a call. full: in each call of the
# program each way to an allocation, once and from then on, and every call to the system.
# No call is tried for more than 5 s (quick) or ten minutes (full) of processor time; how many were cut short is told.
cd "$(dirname "$0")/../.." || exit 2
size=${1:-quick}; [ $# -eq 0 ] || shift
build=${BUILD:-build}
case $build in /*) ;; *) build=$PWD/$build ;; esac
mkdir -p "$build/faults"
strict='-std=c11 -Wall -Wextra -Wpedantic -Wshadow -Werror -O2 -g'
make --no-print-directory --silent -j2 BUILD="$build" all &&
    ${CC:-gcc} $strict -fPIC -shared -o "$build/faults/failcall.so" tests/faults/failcall.c &&
    ${CC:-gcc} $strict -o "$build/faults/torture" tests/faults/torture.c tests/faults/folder.c || exit 1

work=$(mktemp -d) || exit 2
trap 'rm -rf "$work"' EXIT
mkdir "$work/ways"
export TORTURE_PROGRAM="$build/plumestone" TORTURE_LIBRARY="$build/faults/failcall.so" TORTURE_RESULTS="$work/results"
case $size in
quick) export TORTURE_WAYS="$work/ways" TORTURE_SECONDS=5 ;;
full) export TORTURE_SECONDS=600 ;;
*) echo "usage: $0 quick|full [CASE...]" >&2; exit 2 ;;
esac
# record-no-room sets a limit on the size of files, under which no copy of its folder can be made.
[ $# -gt 0 ] || set -- $(ls tests/golden | grep -v '^record-no-room$')
# The case itself must still say what is expected: the program runs unharmed at the end of each call.
printf '%s\n' "$@" | xargs -P "${JOBS:-2}" -n 1 sh tests/run-golden.sh "$build/faults/torture" tests/golden >"$work/cases"
cases=$?
[ $cases -eq 0 ] || grep -v ' 0 failed$' "$work/cases"
grep -v '^RUNS ' "$work/results" | head -n 200
awk '
    $1 == "RUNS" { calls++; runs += $2; right += $3; refused += $4; wrong += $5; cut += $6 }
    END { print "faults: " calls " calls of the program, run " runs " times: " right " right, " refused " refused with a message, " wrong " wrong; " cut " calls cut short for time"
          exit wrong > 0 || runs == 0 }
' "$work/results"
bad=$?
if [ $bad -eq 0 ] && [ $cases -eq 0 ]; then echo "faults: 1 passed, 0 failed"; else echo "faults: 0 passed, 1 failed"; exit 1; fi
