#!/bin/sh
# Simulates studies and prints how often each bound held, then fails when one
# falls short of what it claims. UPDATE=1 puts the table into docs/calibration.md.
# usage: run.sh PROGRAM STUDIES-A-ROW
program=$1; studies=$2; page=docs/calibration.md
work=$(mktemp -d) || exit 2
trap 'rm -rf "$work"' EXIT
echo "$studies studies a cell; standard error $(awk "BEGIN { printf \"%.1f\", 100 * sqrt(0.95 * 0.05 / $studies) }") points"
"$program" "$studies" >"$work/table"
code=$?
cat "$work/table"
if [ -n "${UPDATE:-}" ]; then
    awk -v table="$work/table" -v studies="$studies" '
        /<!-- table -->/ { print; print ""; while ((getline line <table) > 0) print line; print ""; skip = 1 }
        /<!-- end -->/ { skip = 0 }
        skip { next }
        /^Published with/ { sub(/with [0-9]+ studies/, "with " studies " studies"); gsub(/STUDIES=[0-9]+/, "STUDIES=" studies) }
        { print }' "$page" | awk '!(/<!-- table -->/ && seen++)' >"$work/page" && cp "$work/page" "$page"
fi
cells=$(awk -F '|' 'NR > 2 { for (i = 4; i <= 6; i++) n++ } END { print n + 0 }' "$work/table")
failed=$(grep -o ' SHORT' "$work/table" | wc -l)
[ "$code" -eq 0 ] || [ "$failed" -gt 0 ] || failed=1
echo "calibration: $((cells - failed)) passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$cells" -gt 0 ]
