#!/bin/sh
# Seeds small faults into stats/, specimen/ and advise/, one at a time, and sees
# whether the tests catch them. The sample is always the same for the same code:
# as many of each folder, those with the lowest rank (see faults.c). SAMPLE=2 takes
# the next as many, SAMPLE=3 those after them: tests written for one sample prove nothing by it.
# A fault that changes no answer is listed with its reason in equivalent.txt.
# usage: run.sh BUILD FAULTS [FILE...]   (FILE: only faults of these sources)
# JOBS=N runs N at once; SKIP_REFERENCE=1 spares the run without a fault. The flags come from the Makefile (make mutants).
cd "$(dirname "$0")/../.." || exit 2
build=$1 wanted=$2
shift 2
case $build in /*) ;; *) build=$PWD/$build ;; esac
mkdir -p "$build"
export BUILD="$build" MUTANT_FLAGS MUTANT_LIBRARIES
sh tests/mutation/prepare.sh || exit 1

folders='stats specimen advise'
sample=$build/sample results=$build/results
: >"$sample"
for folder in $folders; do
    "$build/faults" list ${*:-src/$folder/*.c} | grep "src/$folder/" | sort | tail -n +$(((${SAMPLE:-1} - 1) * (wanted / 3) + 1)) |
        head -n $((wanted / 3)) >>"$sample"
done
rm -rf "$results" && mkdir "$results"
export ASAN_OPTIONS=detect_leaks=1
if [ -z "${SKIP_REFERENCE:-}" ] && ! MUTANT_NUMBER=0 sh tests/mutation/one.sh; then
    echo "the tests fail without any fault: $(cat "$results/0")"
    exit 1
fi
seq "$(wc -l <"$sample")" | xargs -P "${JOBS:-1}" -I{} env MUTANT_NUMBER={} sh tests/mutation/one.sh
rm -f "$results/0"

sort -n "$results"/* | awk -F'\t' -v folders="$folders" '
    FILENAME != "-" { if ($0 !~ /^#/ && NF == 4) reason[$1 "\t" $2 "\t" $3] = $4; next }
    { split($3, path, "/"); folder = path[2]; verdict = $2 }
    verdict == "no program" { next }
    { seeded[folder]++ }
    verdict != "missed" { caught[folder]++; next }
    ($3 "\t" $5 "\t" $6) in reason { equal[folder]++; next }
    { missed[folder]++; printf "MISSED: %s:%s\n    as it is: %s\n    seeded:   %s\n", $3, $4, $5, $6 }
    END {
        print "folder     seeded  caught  change nothing  missed  caught, % of those that change something"
        n = split(folders, name, " ")
        for (i = 1; i <= n; i++) {
            f = name[i]
            row(f, seeded[f], caught[f], equal[f], missed[f])
            all += seeded[f]; c += caught[f]; e += equal[f]; m += missed[f]
        }
        row("all", all, c, e, m)
        printf "mutants: %d passed, %d failed\n", c, m
        exit m > 0 || c == 0
    }
    function row(f, seeded, caught, equal, missed) {
        printf "%-9s %7d %7d %15d %7d  %.1f\n", f, seeded, caught, equal, missed, caught + missed ? 100 * caught / (caught + missed) : 0
    }' tests/mutation/equivalent.txt -
