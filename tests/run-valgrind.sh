#!/bin/sh
# The unit and certified tests and every command case under valgrind: no wrong access, no use of what was never set, no leak.
# usage: run-valgrind.sh TEST-PROGRAM...   (BUILD names the build folder; CASES="results-* ..." takes some of the cases; JOBS=2
# says how many run at once)
cd "$(dirname "$0")/.." || exit 2
build=${BUILD:-build}
case $build in /*) ;; *) build=$PWD/$build ;; esac
# By its whole path, for cases that have no PATH. A process that is about to become gnuplot still holds what the threads of its parent
# had, and none of them any more: that is no leak, so it keeps silent until then.
valgrind="$(command -v valgrind) --quiet --error-exitcode=99 --leak-check=full --errors-for-leak-kinds=definite,indirect,possible \
--child-silent-after-fork=yes"
mkdir -p "$build/valgrind"
# What stands in the place of each program: golden cases call it, and its findings go to a file, not among the program's words.
wrap() { # $1 program, $2 wrapper
    printf '#!/bin/sh\nexec %s --log-file="%s/said.%%p" "%s" "$@"\n' "$valgrind" "$build/valgrind" "$1" >"$2" && chmod +x "$2"
}
rm -f "$build"/valgrind/said.*
# Of these only valgrind's findings count: it computes long double with the 53 bits of a double, so that two do not reach all their
# digits, and under it a program that is not there starts and then fails, so that two that take gnuplot away are told something else.
told_otherwise='tests-unit-stats-mixed_corners tests-certified-least_squares tests-unit-output-chart tests-unit-output-report'
programs= only_findings=
for program in "$@"; do
    name=tests-$(echo "${program##*/tests/}" | tr / -)
    wrap "$program" "$build/valgrind/$name"
    case " $told_otherwise " in
    *" $name "*) only_findings="$only_findings $build/valgrind/$name" ;;
    *) programs="$programs $build/valgrind/$name" ;;
    esac
done
wrap "$build/plumestone" "$build/valgrind/plumestone"
# Left out: cases without gnuplot, for the same reason, and a closed standard output, which is taken by valgrind's own file.
cases=$(cd tests/golden && ls -d ${CASES:-*} | grep -vxE '(chart|report)-without-gnuplot|results-closed-output')
# One at a time each, told only when it fails; xargs says whether any did.
printf '%s\n' $programs | xargs -r -P "${JOBS:-2}" -n 1 sh tests/run-suites.sh >"$build/valgrind/suites"
suites=$?
for program in $only_findings; do
    "$program" >"$build/valgrind/otherwise" 2>&1
    [ $? -ne 99 ] || { suites=1; cat "$build/valgrind/otherwise"; }
done
printf '%s\n' $cases | xargs -P "${JOBS:-2}" -n 1 sh tests/run-golden.sh "$build/valgrind/plumestone" tests/golden >"$build/valgrind/cases"
golden=$?
grep -hv ' 0 failed$' "$build/valgrind/suites" "$build/valgrind/cases"
cat "$build"/valgrind/said.* | head -n 200
n_said=$(find "$build/valgrind" -name 'said.*' -size +0 | wc -l)
echo "valgrind: $(find "$build/valgrind" -name 'said.*' | wc -l) processes, $n_said of them with a finding"
if [ $suites -eq 0 ] && [ $golden -eq 0 ] && [ "$n_said" -eq 0 ]; then echo "valgrind: 1 passed, 0 failed"; else echo "valgrind: 0 passed, 1 failed"; exit 1; fi
