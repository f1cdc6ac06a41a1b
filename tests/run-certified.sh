#!/bin/sh
# Runs the programs that hold the statistics against published data and prints
# one table of the digits of agreement, -log10 of the relative error: a row for
# each data set and bar, with the quantity that agrees least. Fails when a bar
# is missed or docs/accuracy.md holds another table (digits may differ by
# rounding between machines); UPDATE=1 rewrites the table there.
# usage: run-certified.sh PROGRAM...
page=docs/accuracy.md
work=$(mktemp -d) || exit 2
trap 'rm -rf "$work"' EXIT
passed=0; failed=0

for program in "$@"; do
    "$program" >"$work/log" 2>"$work/err"
    code=$?
    grep "^certified:" "$work/log" | sed "s/^certified:/$(basename "$program")/" >>"$work/lines"
    tests=$(awk '$1 == "tests" { print $4, $5 }' "$work/log")
    program_passed=${tests% *}; program_failed=${tests#* }
    # A program that died or reached no count is one failure.
    [ -n "$tests" ] || { program_passed=0; program_failed=1; }
    [ "$code" -eq 0 ] || [ "$program_failed" -ne 0 ] || program_failed=1
    if [ "$program_failed" -ne 0 ]; then
        echo "FAILED: $program (exit $code)"; grep -v "^certified:" "$work/log"; cat "$work/err"
    fi
    passed=$((passed + program_passed)); failed=$((failed + program_failed))
done

# Rows in the order of first appearance: what, data set, values, bar, digits, weakest quantity.
awk -F '\t' '
    BEGIN {
        n = split("univariate=mean and scatter;anova=analysis of variance;comparisons=comparisons;least_squares=least squares;" \
                  "mixed=random batches, laws, bounds;nested=nested batches;lines=crossings of a line;nonlinear=age laws, nonlinear;factors=factors;" \
                  "outliers=outliers;fieller=ratios;bootstrap=bootstrap;program=the program, CSV to JSON", pairs, ";")
        for (i = 1; i <= n; i++) { cut = index(pairs[i], "="); word[substr(pairs[i], 1, cut - 1)] = substr(pairs[i], cut + 1) }
    }
    {
        key = $1 FS $2 FS $5
        if (!(key in values)) { order[++rows] = key; least[key] = 99 }
        values[key]++
        if ($4 + 0 < least[key]) { least[key] = $4 + 0; weakest[key] = $3 }
    }
    END {
        for (i = 1; i <= rows; i++) {
            split(order[i], part, FS)
            printf "%s\t%s\t%d\t%.1f\t%.1f\t%s\n", (part[1] in word) ? word[part[1]] : part[1], part[2], values[order[i]], part[3], least[order[i]], weakest[order[i]]
        }
    }' "$work/lines" >"$work/rows"

{
    echo "| part | data set | values | bar | digits | the value that agrees least |"
    echo "| --- | --- | ---: | ---: | ---: | --- |"
    awk -F '\t' '{ printf "| %s | %s | %d | %s | %s | %s |\n", $1, $2, $3, $4, $5, $6 }' "$work/rows"
} >"$work/table"

# The table of the page stands between two marks.
table_of() { sed -n '/<!-- table -->/,/<!-- end -->/p' "$1" | grep '^|'; }
if [ -n "${UPDATE:-}" ]; then
    awk -v table="$work/table" '
        /<!-- table -->/ { print; while ((getline line <table) > 0) print line; skip = 1 }
        /<!-- end -->/ { skip = 0 }
        !skip { print } ' "$page" | awk '!(/<!-- table -->/ && seen++)' >"$work/page" && cat "$work/page" >"$page"
fi
# Same rows; digits within 1 (compilers round differently), the bars hold in any case.
if table_of "$page" | paste -d '\n' - "$work/table" | awk -F '|' '
        NR % 2 { split($0, told, "|"); next }
        { for (i = 2; i <= 5; i++) if (told[i] != $i) bad = 1
          if (NR > 4 && (told[6] - $6 > 1 || $6 - told[6] > 1)) bad = 1 }
        END { exit bad || NR == 0 }'; then
    passed=$((passed + 1))
else
    failed=$((failed + 1)); echo "FAILED: $page holds another table than was measured; see the difference, then UPDATE=1 make certified"
    table_of "$page" | diff - "$work/table" | head -20
fi

awk -F '\t' '
    { for (i = 1; i <= 2; i++) if (length($i) > wide[i]) wide[i] = length($i); row[NR] = $0; sum += $3 }
    END {
        format = "%-" wide[1] "s  %-" wide[2] "s  %6s  %5s  %6s  %s\n"
        printf format, "part", "data set", "values", "bar", "digits", "the value that agrees least"
        for (i = 1; i <= NR; i++) { split(row[i], p, FS); printf format, p[1], p[2], p[3], p[4], p[5], p[6] (p[5] < p[4] - 0.05 ? "  MISSED" : "") }
        printf "%d values in %d rows\n", sum, NR
    }' "$work/rows"
echo "certified: $passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
