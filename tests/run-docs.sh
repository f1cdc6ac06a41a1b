#!/bin/sh
# Runs the examples of Markdown files and compares what they show: in a block
# ```console, "$ command" and its output. They run in an empty folder that holds
# the datasets, with the program on the PATH. A line "..." stands for any lines.
# UPDATE=1 rewrites what is shown.
# usage: run-docs.sh PROGRAM FILE-OR-FOLDER...
program=$1; shift
root=$(cd "$(dirname "$0")/.." && pwd) || exit 2
bin=$(cd "$(dirname "$program")" && pwd) || exit 2
passed=0; failed=0
work=$(mktemp -d) || exit 2
trap 'rm -rf "$work"' EXIT

# Whether $2 is $1 with each line "..." standing for any lines.
matches() {
    cmp -s "$1" "$2" && return 0
    grep -qx '\.\.\.' "$1" || return 1
    awk 'FNR == NR { want[++n] = $0; next }
         { got[++m] = $0 }
         END {
             for (i = j = 1; i <= n; i++) {
                 if (want[i] == "...") { skip = 1; continue }
                 while (skip && j <= m && got[j] != want[i]) j++
                 if (j > m || got[j] != want[i]) exit 1
                 j++; skip = 0
             }
             exit !(skip || j > m)
         }' "$1" "$2"
}
run_file() { # $1 the Markdown file
    rm -rf "$work/examples" "$work/place"
    mkdir "$work/examples" "$work/place" && ln -s "$root/datasets" "$work/place/datasets" || exit 2
    awk -v mode=take -v work="$work/examples" -f "$root/tests/docs-examples.awk" "$1"
    for command in "$work"/examples/*.command; do
        [ -f "$command" ] || continue
        stem=${command%.command}
        # Apart, because a pipe may be slower than standard error.
        (cd "$work/place" && PATH="$bin:$PATH" sh "$command" </dev/null) >"$stem.got" 2>"$stem.err"
        cat "$stem.err" >>"$stem.got"
        [ -z "$(tail -c 1 "$stem.got")" ] || echo >>"$stem.got"
        if [ -z "${UPDATE:-}" ] && ! matches "$stem.shown" "$stem.got"; then
            failed=$((failed + 1))
            echo "FAILED: $1: $(cat "$command")"; diff -u "$stem.shown" "$stem.got" | head -40
        else
            passed=$((passed + 1))
        fi
    done
    if [ -n "${UPDATE:-}" ]; then
        awk -v mode=put -v work="$work/examples" -f "$root/tests/docs-examples.awk" "$1" >"$work/new" && cp "$work/new" "$1"
    fi
}
for file in $(find "$@" -name '*.md' | sort); do
    run_file "$file"
done
echo "examples: $passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
