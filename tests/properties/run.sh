#!/bin/sh
# Random studies, each told in ways that must not matter: rows, columns and files in
# another order, other units, longer names, larger loads, bad rows set aside and
# mended, a file given twice. The answers must be the same (JSON by same_answer, the
# text by its lines), or be refused.
# usage: run.sh PROGRAM HELPERS [quick|full]   (HELPERS: folder of random_study and same_answer)
program=$1 helpers=$2 size=${3:-full}
case $program in /*) ;; *) program=$PWD/$program ;; esac
case $helpers in /*) ;; *) helpers=$PWD/$helpers ;; esac
[ -x "$program" ] && [ -x "$helpers/random_study" ] && [ -x "$helpers/same_answer" ] || { echo "not built" >&2; exit 2; }
work=$(mktemp -d) || exit 2
trap 'rm -rf "$work"' EXIT
cd "$work" || exit 2
passed=0 failed=0
expect() { # $1 what, then a command that must succeed
    what=$1; shift
    if "$@" >log 2>&1; then passed=$((passed + 1)); return; fi
    failed=$((failed + 1)); echo "FAILED: study $seed: $what"; head -n 5 log
}
commands='results check fit compare recommend plan'
arguments_of() { # $1 command, $2 prefix of names
    case $1 in
    compare) echo "--reference $2m0-0" ;;
    recommend | plan) echo "--target compressive_strength=18MPa --limit absorption=20% --reference $2m0-0" ;;
    esac
}
# NAME.COMMAND.json and NAME.COMMAND.txt of the files
answer() { # $1 name, $2 prefix of names, $3 commands, then the files
    name=$1 prefix=$2 asked=$3; shift 3
    for command in $asked; do
        "$program" $command $(arguments_of $command "$prefix") --units si --json "$@" >"$name.$command.json" 2>/dev/null
        echo $? >"$name.$command.exit"
        "$program" $command $(arguments_of $command "$prefix") --units si --quiet "$@" >"$name.$command.txt" 2>/dev/null
        sort "$name.$command.txt" >"$name.$command.sorted"
    done
}
same() { # $1 name, $2 prefix, $3 factor, $4 commands
    for command in $4; do
        expect "$1 change the exit code of $command" cmp "base.$command.exit" "$1.$command.exit"
        expect "$1 change the answer of $command" "$helpers/same_answer" "base.$command.json" "$1.$command.json" "$2" "$3"
    done
}
same_text() { # $1 name, $2 txt or sorted
    for command in fit compare recommend; do # results names mixes in the order of the rows
        expect "$1 change the text of $command" diff "base.$command.$2" "$1.$command.$2"
    done
}
refused() { # $1 what, then the files
    what=$1; shift
    "$program" results "$@" >refused.out 2>refused.err
    expect "$what is not refused" test $? -eq 3
    expect "$what is refused without a word" test -s refused.err -a ! -s refused.out
}

[ "$size" = full ] && studies=${STUDIES:-25} || studies=1
for seed in $(seq 1 "$studies"); do
    rm -f ./*.csv ./*.json ./*.txt
    for way in base rows columns files units names loads bad; do
        "$helpers/random_study" "$seed" "$way" . || exit 2
    done
    answer base '' "$commands" base.csv
    answer rows '' "$commands" rows.csv
    answer columns '' "$commands" columns.csv
    answer files '' "$commands" files-3.csv files-1.csv files-2.csv
    answer units '' "$commands" units.csv
    answer names N7- "$commands" names.csv
    answer loads '' 'results compare' loads.csv
    same rows '' 1 "$commands"
    same columns '' 1 "$commands"
    same files '' 1 "$commands"
    same units '' 1 "$commands"
    same names N7- 1 "$commands"
    same loads '' 2.5 'results compare'
    same_text rows sorted
    same_text files sorted
    same_text columns txt
    same_text units txt

    # Set aside: as if the bad rows were not there; mended and read again: as if they had never been bad.
    "$program" results --units si --json --set-aside aside.csv bad.csv >bad.json 2>/dev/null
    "$program" results --units si --json good.csv 2>/dev/null | sed 's/"set_aside": *0/"set_aside": '"$(grep -c BAD bad.csv)"'/' >good.json
    expect 'rows set aside leave a trace' "$helpers/same_answer" good.json bad.json
    if grep -q BAD bad.csv; then
        sed 's/BAD//g' aside.csv >mended.csv
        "$program" results --units si --json good.csv mended.csv >mended.json 2>/dev/null
        expect 'rows set aside and mended are not the same' "$helpers/same_answer" base.results.json mended.json
    fi

    cp base.csv copy.csv
    ln base.csv link.csv
    refused 'a file given twice' base.csv base.csv
    refused 'a file given twice by another path' base.csv "$PWD/base.csv"
    refused 'a file given twice by a link' base.csv link.csv
    refused 'a copy of a file' base.csv copy.csv
done
echo "properties of $studies random studies: $passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
