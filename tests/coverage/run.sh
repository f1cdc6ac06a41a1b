#!/bin/sh
# Lines and branches that the tests run, by gcov: a row a file, a sum a folder, then
# each line of these folders that no test runs, under the reason from why.txt. Fails
# when a folder falls below a floor. Both ways of a condition are branches; one
# counts when it was taken at least once.
# usage: run.sh BUILD   (built with --coverage: make coverage)
cd "$(dirname "$0")/../.." || exit 2
build=$1
case $build in /*) ;; *) build=$PWD/$build ;; esac
# Cases that forbid large files forbid the counts too; those runs go uncounted.
export GCOV_ERROR_FILE=/dev/null

find "$build" -name '*.gcda' -exec rm -f {} +
programs=
for source in tests/unit/*/*.c tests/certified/*.c; do
    programs="$programs $build/${source%.c}"
done
sh tests/run-check.sh "sh tests/run-suites.sh $programs" \
    "sh tests/run-golden.sh $build/plumestone tests/golden" \
    "sh tests/run-golden.sh $build/plumestone tests/messy" \
    "sh tests/run-messy.sh $build/plumestone tests/messy" || exit 1

lines=$build/annotated.txt
for folder in stats specimen ingest advise; do
    for counts in "$build/$folder"/*.gcda; do
        gcov --branch-probabilities --branch-counts --stdout "$counts" 2>/dev/null
    done
done >"$lines"
echo
awk -f tests/coverage/table.awk tests/coverage/why.txt "$lines"
