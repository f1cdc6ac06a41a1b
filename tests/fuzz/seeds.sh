#!/bin/sh
# Fills FOLDER/TARGET with first inputs for each fuzz target, out of the files that other tests use.
# usage: seeds.sh FOLDER   (from the project's folder)
seeds=$1
mkdir -p "$seeds/numbers" "$seeds/table" "$seeds/study_file" "$seeds/options" "$seeds/studies"

# Each line of standard input becomes a file of FOLDER.
files_of_lines() { # $1 folder
    awk -v folder="$1" '{ file = folder "/line-" NR; printf "%s", $0 >file; close(file) }'
}
cp tests/messy/*.csv "$seeds/table"
for file in datasets/*/*.csv tests/golden/*/*.csv; do
    [ "$(wc -c <"$file")" -gt 20000 ] || cp "$file" "$seeds/table/$(echo "$file" | tr / -)"
done
for file in datasets/*/*.ini tests/golden/*/*.ini; do
    cp "$file" "$seeds/study_file/$(echo "$file" | tr / -)"
done
# Words of the bad files, and every unit and demand of the documents.
cat tests/messy/*.csv docs/files.md docs/methods/units.md | LC_ALL=C tr -c '0-9A-Za-z.+/%^=-' '\n' | LC_ALL=C sort -u | grep -E '[0-9]|/|=' |
    head -n 600 | files_of_lines "$seeds/numbers"
# Command lines of the cases, an argument a line.
n=0
sed -n 's/^.*"\$PLUMESTONE" //p' tests/golden/*/command tests/messy/*/command | while IFS= read -r line; do
    n=$((n + 1))
    printf '%s' "$line" | tr -d "\"'" | tr ' ' '\n' >"$seeds/options/line-$n"
done
# Studies are made from any bytes: a few rows of them, always the same.
LC_ALL=C awk -v folder="$seeds/studies" 'BEGIN {
    state = 1
    for (file = 1; file <= 24; file++)
        for (i = 0; i < 40 * file; i++) {
            state = (state * 16807) % 2147483647
            printf "%c", 1 + state % 255 >(folder "/bytes-" file)
        }
}'
