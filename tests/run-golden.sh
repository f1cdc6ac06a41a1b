#!/bin/sh
# Runs cases: a case is a folder with `command` (a shell line that calls
# "$PLUMESTONE"), input files, expected.out, expected.err and exit. Each runs in
# a copy of its folder that also holds the datasets; bytes are compared. UPDATE=1 rewrites what is expected;
# STOP_AT_FIRST=1 stops at the first that fails.
# usage: run-golden.sh PROGRAM FOLDER [CASE...]
program=$1; folder=$2; shift 2
case $program in /*) ;; *) program=$PWD/$program ;; esac
[ -x "$program" ] || { echo "$program: not built" >&2; exit 2; }
root=$(cd "$(dirname "$0")/.." && pwd) || exit 2
export PLUMESTONE="$program"
passed=0; failed=0
work=$(mktemp -d) || exit 2
trap 'rm -rf "$work"' EXIT

run_case() { # $1 the case's folder
    rm -rf "$work/case" && cp -r "$1" "$work/case" && ln -s "$root/datasets" "$work/case/datasets" || exit 2
    (cd "$work/case" && rm -f expected.out expected.err exit && sh ./command >"$work/out" 2>"$work/err" </dev/null)
    echo $? >"$work/exit"
}
compare() { # $1 expected, $2 got
    cmp -s "$1" "$2" && return 0
    diff -u "$1" "$2" | head -40
    return 1
}
update_case() {
    cp "$work/out" "$1/expected.out"; cp "$work/err" "$1/expected.err"; cp "$work/exit" "$1/exit"
}
for case in ${*:-$(ls "$folder")}; do
    path=$folder/$case
    [ -f "$path/command" ] || continue
    run_case "$path"
    [ -z "${UPDATE:-}" ] || update_case "$path"
    good=yes
    for name in out err; do
        compare "$path/expected.$name" "$work/$name" || good=no
    done
    compare "$path/exit" "$work/exit" || good=no
    if [ "$good" = yes ]; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1)); echo "FAILED: $path"
        [ -z "${STOP_AT_FIRST:-}" ] || break
    fi
done
echo "$(basename "$folder"): $passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
