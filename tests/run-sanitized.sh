#!/bin/sh
# Unit, certified, golden and messy tests under the address and
# undefined-behaviour sanitizers, in a build folder of their own.
cd "$(dirname "$0")/.." || exit 2
sanitize='-fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer'
build=build/sanitized
export ASAN_OPTIONS=detect_leaks=1 UBSAN_OPTIONS=print_stacktrace=1
make --no-print-directory --silent -j2 BUILD=$build "CFLAGS=-O1 -g $sanitize" "LDFLAGS=$sanitize" all tests || exit 1
programs=
for source in tests/unit/*/*.c tests/certified/*.c; do
    [ ! -f "$source" ] || programs="$programs $build/${source%.c}"
done
sh tests/run-check.sh "sh tests/run-suites.sh $programs" \
    "sh tests/run-golden.sh $build/plumestone tests/golden" \
    "sh tests/run-golden.sh $build/plumestone tests/messy" \
    "sh tests/run-messy.sh $build/plumestone tests/messy"
