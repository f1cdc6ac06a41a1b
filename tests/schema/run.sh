#!/bin/sh
# Holds JSON answers of the program against docs/schema/*.json, and those against docs/json.md: no key that is not
# explained, none explained that is not there, none that no answer here shows.
# usage: tests/schema/run.sh PROGRAM
program=$1
case $program in /*) ;; *) program=$PWD/$program ;; esac
[ -x "$program" ] || { echo "$program: not built" >&2; exit 2; }
cd "$(dirname "$0")/../.." || exit 2
work=$(mktemp -d) || exit 2
trap 'rm -rf "$work"' EXIT
passed=0; failed=0
verdict() { # $1 what, $2 what is wrong, or ""
    if [ -z "$2" ]; then passed=$((passed + 1)); else failed=$((failed + 1)); echo "FAILED: $1:"; echo "$2" | head -n 12; fi
}
# $1 schema, then answers: what does not fit. Debian's validator, whatever else is on the path.
misfits() {
    schema_file=docs/schema/$1.json; shift
    for file in "$@"; do set -- "$@" -i "$file"; shift; done
    /usr/bin/jsonschema --error-format '{error.json_path}: {error.message}
' "$@" "$schema_file" 2>&1 | cut -c 1-300
}
keys_of_schema='[.. | objects | .properties? // empty | keys[]] | unique[]'
# Keys in the section of json.md about a command: $1 command, $2 a pattern that lines must match.
keys_of_page() {
    awk -v heading="## \`$1 --json\`" '/^## /{inside = index($0, heading) == 1} inside' docs/json.md | grep -E "$2"
}
names() { grep -o '`[^`]*`' | tr -d '`[]' | sed 's/^\.//' | LC_ALL=C sort -u; }

number=0
while read -r schema arguments; do
    case $schema in ''|'#'*) continue ;; esac
    arguments=$(echo "$arguments" | sed "s|WORK|$work|")
    number=$((number + 1)); answer=$work/$schema-$number.json
    # shellcheck disable=SC2086
    "$program" $arguments >"$answer" 2>"$work/err"
    code=$?
    verdict "$arguments" "$([ "$code" -le 1 ] || cat "$work/err")"
done <tests/schema/answers
# The report's summary.json is a recommendation too.
mv "$work/report/summary.json" "$work/recommend-summary.json"

for file in docs/schema/*.json; do
    schema=$(basename "$file" .json)
    verdict "$file: answers that do not fit" "$(misfits "$schema" "$work/$schema"-*.json)"
    verdict "$file: takes a key that it does not name, or lets one be left out" "$(jq -r '.. | objects | select(.properties)
        | select(.additionalProperties != false or ([.required[], .oneOf[]?.required[]] | sort) != (.properties | keys))
        | .properties | keys | join(" ")' "$file")"
    jq '. + {"not_a_key": 1}' "$(ls "$work/$schema"-*.json | head -n 1)" >"$work/more.json"
    verdict "$file refuses a further key" "$([ -n "$(misfits "$schema" "$work/more.json")" ] || echo 'it takes one')"
    jq -r "$keys_of_schema" "$file" | LC_ALL=C sort -u >"$work/keys"
    jq -r '.. | objects | keys[]' "$work/$schema"-*.json | LC_ALL=C sort -u >"$work/shown"
    verdict "$file: keys that no answer here shows" "$(comm -23 "$work/keys" "$work/shown")"
    sections=$schema; [ "$schema" != check ] || sections='check results' # fresh and drying: as in results
    [ "$schema" != compare ] || sections='compare results' # trials too
    for section in $sections; do keys_of_page "$section" '^\|'; done | names >"$work/explained"
    verdict "docs/json.md: keys of $schema that are not explained" "$(comm -23 "$work/keys" "$work/explained")"
    keys_of_page "$schema" '^\|' | cut -d '|' -f 2 | names | grep -vx 'key' >"$work/told"
    verdict "docs/json.md: explained for $schema, but not a key" "$(comm -13 "$work/keys" "$work/told")"
done
echo "schema: $passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
