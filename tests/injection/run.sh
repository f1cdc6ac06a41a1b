#!/bin/sh
# Hostile names and notes. First the proof that they bite: a naive writer's gnuplot
# and shell scripts, pages, tables and file names fall for them. Then the program:
# every command on studies that carry them as every kind of name. Nothing may run, no
# file may appear that a plain study does not make, pages must have the elements of
# the plain study's pages and no other, and no cell may be a formula.
# usage: run.sh PROGRAM HELPERS [quick]   (HELPERS: folder of hostile and inspect)
program=$1 helpers=$2 size=${3:-full}
case $program in /*) ;; *) program=$PWD/$program ;; esac
case $helpers in /*) ;; *) helpers=$PWD/$helpers ;; esac
hostile=$helpers/hostile inspect=$helpers/inspect
[ -x "$program" ] && [ -x "$hostile" ] && [ -x "$inspect" ] || { echo "not built" >&2; exit 2; }
work=$(mktemp -d) || exit 2
trap 'rm -rf "$work"' EXIT
passed=0 failed=0
good() { passed=$((passed + 1)); }
bad() { failed=$((failed + 1)); echo "FAILED: $*"; }
expect() { # $1 what, then a command that must succeed
    what=$1; shift
    if "$@" >"$work/log" 2>&1; then good; else bad "$what"; head -n 5 "$work/log"; fi
}
no_canary() { [ -z "$(find "$work" -name 'canary*')" ]; }

set -- $("$hostile" count)
payloads=$1 names=$2
plain=$work/plain

# The proof.
naive_falls() { # $1 payload, $2 effect
    case $2 in
    runs)
        for script in *.gp; do gnuplot -d "$script" >/dev/null 2>&1 </dev/null; done
        for script in *.sh; do sh "$script" >/dev/null 2>&1 </dev/null; done
        [ -e canary ] ;;
    marks)
        "$inspect" html page.html >html; "$inspect" markdown page.md >markdown
        ! cmp -s html ../harmless/html || ! cmp -s markdown ../harmless/markdown ;;
    computes) ! "$inspect" csv table.csv >/dev/null 2>&1 ;;
    steers) ! "$inspect" screen screen.txt 2>/dev/null ;;
    climbs)
        mkdir -p charts/scripts
        : >"charts/scripts/$("$hostile" text "$1")"
        [ -z "$(ls charts/scripts)" ] ;;
    esac
}
mkdir "$work/harmless"
"$hostile" naive plain "$work/harmless"
"$inspect" html "$work/harmless/page.html" >"$work/harmless/html"
"$inspect" markdown "$work/harmless/page.md" >"$work/harmless/markdown"
proven=0
for payload in $(seq 0 $((payloads - 1))); do
    for effect in $("$hostile" effect "$payload"); do
        mkdir "$work/naive" && cd "$work/naive" || exit 2
        "$hostile" naive "$payload" "$work/naive"
        if naive_falls "$payload" "$effect"; then good; proven=$((proven + 1))
        else bad "payload $payload does not harm a naive writer: $effect"; fi
        cd "$work" && rm -rf naive canary
    done
done
echo "a naive writer falls for hostile names in $proven ways"

# The program. Answers go to files; each run says what it was.
run() { # $1 name of the answer, then arguments
    answer=$1; shift
    "$program" "$@" >"$answer.out" 2>"$answer.err" </dev/null
    echo $? >"$answer.exit"
}
demands='--mixes mixes.csv --materials materials.csv --target compressive_strength=20MPa --limit density=2100kg/m3 --piece 400x400x40mm'
run_all() { # $1 title, $2 a mix
    run report report --quiet $demands --title "$1" --output report study.csv
    run recommend recommend $demands study.csv
    run recommend-json recommend $demands --json study.csv
    run plan plan $demands study.csv
    run compare compare --mixes mixes.csv --reference="$2" study.csv
    run fit fit study.csv
    run check check study.csv
    run results results study.csv
    run results-csv results --csv study.csv
    run results-json results --json study.csv
    run sheet batch $demands --mix="$2" --pieces 3 study.csv
    run sheet-html batch $demands --mix="$2" --pieces 3 --output sheet.html study.csv
    run sheet-markdown batch $demands --mix="$2" --pieces 3 --output sheet.md study.csv
    run no-mix compare --reference "no such $2" study.csv
    run record record --to journal.csv --from study.csv
    for script in report/charts/*.gp; do gnuplot "$script" >>gnuplot.log 2>&1 </dev/null || echo "gnuplot fails: $script"; done
    find . -type f | sort >"$work/files"
    for page in report/report.html sheet.html; do "$inspect" html "$page" >"$page.skeleton"; done
    for page in report/report.md sheet.md; do "$inspect" markdown "$page" >"$page.skeleton"; done
    for table in report/results.csv results-csv.out; do "$inspect" csv "$table" >"$table.skeleton"; done
}
same_as_plain() { # $1 file
    diff "$plain/$1" "$1"
}
check_all() { # $1 first payload
    expect "from payload $1: something ran" no_canary
    expect "from payload $1: other files were made" diff "$plain.files" "$work/files"
    for page in report/report.html report/report.md sheet.html sheet.md report/results.csv results-csv.out; do
        expect "from payload $1: $page has other elements or a formula" same_as_plain "$page.skeleton"
    done
    for table in report/results.csv results-csv.out; do
        expect "from payload $1: $table holds a formula" "$inspect" csv "$table"
    done
    for answer in *.exit; do
        expect "from payload $1: $answer" same_as_plain "$answer"
    done
    for answer in *.err report.out recommend.out plan.out compare.out fit.out check.out results.out sheet.out; do
        expect "from payload $1: $answer steers the terminal" "$inspect" screen "$answer"
    done
    for picture in report/charts/*.svg; do
        expect "from payload $1: $picture is broken" xmllint --nonet --noout "$picture"
    done
}
study() { # $1 first payload or plain, $2 folder
    mkdir -p "$2" && "$hostile" study "$1" "$2" && cd "$2" || exit 2
}
study plain "$plain"
run_all plain n4
cp "$work/files" "$plain.files"
expect 'the plain study is recommended' grep -q '^0$' recommend.exit

step=4
[ "$size" = full ] || step=31
for first in $(seq 0 $step $((names - 1))); do
    study "$first" "$work/a/b/c/study"
    # A line feed at the end stays with the help of a sign behind it.
    title=$("$hostile" text $(((first * 3 + names) % payloads)); echo .)
    run_all "${title%.}" "$("$hostile" text $(((first + 4) % names)))"
    check_all "$first"
    for payload in $(seq 0 $((names - 1))); do
        [ "$payload" -eq $(((first + 3) % names)) ] || # names the binder, which results do not tell
            expect "payload $payload is not whole in JSON" "$inspect" json results-json.out "$("$hostile" text "$payload")"
    done
    cd "$work" && rm -rf a
done

# As a name of a file, and names with a line break, which are refused.
study plain "$work/a/b/c/study"
for payload in $(seq 0 $((names - 1))); do
    name=$("$hostile" text "$payload")
    case $name in */* | ..) continue ;; -*) name=./$name ;; esac
    cp study.csv "$name"
    run named results --quiet "$name"
    expect "file named by payload $payload is not read" grep -q '^0$' named.exit
    rm -f "$name"
    run missing results --quiet "$name"
    expect "missing file named by payload $payload" grep -q '^3$' missing.exit
    expect "payload $payload steers the terminal out of a message" "$inspect" screen missing.err
done
for payload in $(seq "$names" $((payloads - 1))); do
    { echo 'specimen,mix,density_kg_m3'; printf '"%s",M,1500\n' "$("$hostile" text "$payload" | sed 's/"/""/g')"; } >broken.csv
    run broken results broken.csv
    expect "a name with a line break is not refused: payload $payload" grep -q '^3$' broken.exit
    expect "payload $payload steers the terminal out of a refusal" "$inspect" screen broken.err
done
expect 'something ran' no_canary
echo "injection: $passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
