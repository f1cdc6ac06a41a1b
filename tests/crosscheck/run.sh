#!/bin/sh
# Holds the statistics against R (lm, lme4, lmerTest, pbkrtest, multcomp, nls) and SciPy, live: the same CSV files go
# through the program and through them. Prints the digits of agreement and fails below a bar. Installs what is missing.
# usage: tests/crosscheck/run.sh BUILD-FOLDER
cd "$(dirname "$0")/../.." || exit 2
build=$1
sh .make/install-packages.sh crosscheck || exit 2
work=$(mktemp -d) || exit 2
trap 'rm -rf "$work"' EXIT
factors=$build/tests/crosscheck/list-factors
mkdir -p "$(dirname "$factors")"
make -s BUILD="$build" "$build/plumestone" "$build/libstats.a" "$build/libbase.a" || exit 2
${CC:-gcc} -std=c11 -O2 -Wall -Wextra -Werror -Iinclude -o "$factors" tests/crosscheck/list-factors.c "$build/libstats.a" \
    "$build/libbase.a" $(pkg-config --libs gsl libRmath) -lm || exit 2

failed=0
run() { # $1 what, the rest: a command that prints lines of agreement
    what=$1; shift
    echo "$what ..." >&2
    "$@" >>"$work/lines" 2>"$work/err" || { failed=$((failed + 1)); echo "FAILED: $what did not run to its end"; cat "$work/err"; }
    grep "the program says" "$work/err"
}
run "fits against R" Rscript --vanilla tests/crosscheck/fits.R "$build/plumestone" "$work"
run "comparisons against R" Rscript --vanilla tests/crosscheck/comparisons.R "$build/plumestone" "$work"
run "distributions and tests against SciPy" /usr/bin/python3 tests/crosscheck/checks.py "$build/plumestone" "$factors" "$work"
awk -f tests/agreement.awk "$work/lines" >"$work/rows"
awk -f tests/agreement-table.awk "$work/rows" || failed=$((failed + 1))
rows=$(wc -l <"$work/rows")
echo "crosscheck: $((rows - failed > 0 ? rows - failed : 0)) passed, $failed failed"
[ "$failed" -eq 0 ]
