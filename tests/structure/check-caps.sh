#!/bin/sh
# Caps of the house: function at most 60 lines and complexity 15 (pmccabe,
# a switch counts once), file at most 400 lines. A file without a function is
# a table and may be longer. No other exception.
cd "$(dirname "$0")/../.." || exit 2
breaches=$(mktemp) && functions=$(mktemp) || exit 2
trap 'rm -f "$breaches" "$functions"' EXIT

find src include tests -name '*.[ch]' | sort | xargs pmccabe >"$functions" || exit 2
awk -F'\t' '
    $5 > 60 { print $6 " " $7 ": " $5 " lines, at most 60" }
    $1 > 15 { print $6 " " $7 ": complexity " $1 ", at most 15" }
' "$functions" >>"$breaches"
find src include tests -name '*.[ch]' | sort | while read -r file; do
    lines=$(wc -l <"$file")
    if [ "$lines" -gt 400 ] && grep -qF "$file(" "$functions"; then
        echo "$file: $lines lines, at most 400" >>"$breaches"
    fi
done

cat "$breaches"
if [ -s "$breaches" ]; then
    echo "caps: 0 passed, 1 failed"
    exit 1
fi
echo "caps: 1 passed, 0 failed"
