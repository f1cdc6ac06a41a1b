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
    # The first value of a test stands on the line of its name.
    sed -n "s/^.*certified:\t/$(basename "$program")\t/p" "$work/log" >>"$work/lines"
    tests=$(awk '$1 == "tests" { print $4, $5 }' "$work/log")
    program_passed=${tests% *}; program_failed=${tests#* }
    # A program that died or reached no count is one failure.
    [ -n "$tests" ] || { program_passed=0; program_failed=1; }
    [ "$code" -eq 0 ] || [ "$program_failed" -ne 0 ] || program_failed=1
    if [ "$program_failed" -ne 0 ]; then
        echo "FAILED: $program (exit $code)"; grep -v "certified:" "$work/log"; cat "$work/err"
    fi
    passed=$((passed + program_passed)); failed=$((failed + program_failed))
done

awk -v words="univariate=mean and scatter;anova=analysis of variance;least_squares=least squares;mixed=random batches, laws, bounds;\
nested=nested batches;lines=crossings of a line;nonlinear=age laws, nonlinear;fieller=ratios;program=the program, CSV to JSON" \
    -f tests/agreement.awk "$work/lines" >"$work/rows"

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

awk -f tests/agreement-table.awk "$work/rows"
echo "certified: $passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
