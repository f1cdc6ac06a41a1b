#!/bin/sh
# Checks every file of FOLDER that its expected.txt names (file | exit code | words | words ...):
# the exit code must be that one, and each of the words must appear. `results` must then refuse (3) what has errors and
# take (0) what has none. A file that no line names is a failure.
# usage: run-messy.sh [PROGRAM [FOLDER]]
program=${1:-build/plumestone}; folder=${2:-tests/messy}
case $program in /*) ;; *) program=$PWD/$program ;; esac
[ -x "$program" ] || { echo "$program: not built" >&2; exit 2; }
cd "$folder" || exit 2
passed=0; failed=0
said=$(mktemp) || exit 2
flat=$(mktemp) || exit 2
trap 'rm -f "$said" "$flat"' EXIT

fail() { # $1 file, $2 why
    echo "FAILED: $1: $2"; head -c 2000 "$said"; good=no
}
check_words() { # $1 file, $2 words parted by " | "
    rest=$2
    while [ -n "$rest" ]; do
        word=${rest%% | *}
        case $rest in *' | '*) rest=${rest#* | } ;; *) rest= ;; esac
        grep -qF -e "$word" "$flat" || fail "$1" "does not say \"$word\""
    done
}
check_file() { # $1 line of expected.txt
    file=${1%% | *}; rest=${1#* | }; want=${rest%% | *}; words=
    case $rest in *' | '*) words=${rest#* | } ;; esac
    timeout 120 "$program" check "$file" >"$said" 2>&1 </dev/null
    code=$?
    tr '\n' ' ' <"$said" | tr -s ' ' >"$flat" # messages are wrapped to the page
    good=yes
    [ "$code" = "$want" ] || fail "$file" "exit $code, want $want"
    check_words "$file" "$words"
    timeout 120 "$program" results "$file" >"$said" 2>&1 </dev/null
    code=$?
    [ "$code" = $((want * 3)) ] || fail "$file" "results ends with $code, want $((want * 3))"
    [ $good = yes ] && passed=$((passed + 1)) || failed=$((failed + 1))
}
while IFS= read -r line; do
    case $line in ''|'#'*) ;; *) check_file "$line" ;; esac
done <expected.txt
for file in *.csv; do
    grep -qF -e "$file | " expected.txt || { echo "FAILED: $file: not in expected.txt"; failed=$((failed + 1)); }
done
echo "messy files: $passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
