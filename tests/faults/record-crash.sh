#!/bin/sh
# `record` itself under kill -9 a hundred times, and two writers at once. Every acknowledged specimen must
# stand in the journal exactly once, a record is there whole or not at all, and what is there reads without a problem.
# usage: tests/faults/record-crash.sh PROGRAM [KILLS] [RECORDS]
program=$1; kills=${2:-100}; records=${3:-120}
case $program in /*) ;; *) program=$PWD/$program ;; esac
[ -x "$program" ] || { echo "$program: not built" >&2; exit 2; }
work=$(mktemp -d) || exit 2
trap 'rm -rf "$work"' EXIT
cd "$work" || exit 2
passed=0; failed=0
verdict() { # $1 what, $2 "" or what is wrong
    if [ -z "$2" ]; then passed=$((passed + 1)); else failed=$((failed + 1)); echo "FAILED: $1: $2"; fi
}

# ---- killed at any moment ----

# The rows of round $1: their number goes from 1 to 400, for only long writes tear.
make_round() {
    awk -v round="$1" 'BEGIN {
        srand(round); n = 1 + int(400 * rand() * rand())
        print "specimen,mix,batch,shape,length_mm,mass_g,break_load_kN,note"
        for (k = 1; k <= n; k++)
            printf "K%d-%d,m,%d,cube,100,%d,%.1f,\"pale, dry; %06d\"\n", round, k, round, 1600 + k, 150 + k / 10, round * 997 + k
    }' >round.csv
}
# told: one "ROUND ROWS" a line for what was acknowledged. Prints what is wrong.
audit() {
    awk -F, -v torn_allowed="$1" '
        FILENAME == "asked" { split($0, a, " "); asked[a[1]] = a[2]; next }
        FILENAME == "told" { split($0, a, " "); told[a[1]] = 1; next }
        FNR == 1 { next }
        $1 ~ /^K[0-9]+-[0-9]+$/ && NF >= 33 { split(substr($1, 2), a, "-"); if (seen[$1]++) twice = $1; n[a[1]]++; next }
        { torn++ }
        END {
            if (twice) print twice " stands twice"
            for (r in told) if (n[r] != asked[r]) print "acknowledged round " r ": " n[r] + 0 " of " asked[r] " rows"
            for (r in n) if (n[r] != asked[r]) part++
            if (!torn_allowed && part) print part " records are there in part"
            if (part > 1) print part " records are there in part"
            if (!torn_allowed && torn) print torn " lines are no rows"
        }' asked told journal.csv
}

: >asked; : >told; : >journal.csv
make_round 0
start=$(date +%s%N)
"$program" record probe.csv --from round.csv >/dev/null
span=$((($(date +%s%N) - start) / 1000)) # microseconds that one takes
wrong= n_told=0 n_torn=0 round=0
while [ "$round" -lt "$kills" ] && [ -z "$wrong" ]; do
    round=$((round + 1))
    make_round "$round"
    echo "$round $(($(wc -l <round.csv) - 1))" >>asked
    pause=$(awk -v round="$round" -v span="$span" 'BEGIN { srand(round + 1000); printf "%.6f", rand() * 1.6 * span / 1e6 }')
    : >ack; : >talk # a writer may be killed before it opens them
    # The shell would tell of each killed child; its talk goes where nobody listens.
    { "$program" record journal.csv --from round.csv >ack 2>talk & writer=$!; sleep "$pause"; kill -9 "$writer"; wait "$writer"; } 2>/dev/null
    # The next is killed sooner or later than this one, so that both ends are met on a machine of any speed.
    if grep -q '^recorded' ack; then echo "$round" >>told; n_told=$((n_told + 1)); span=$((span * 9 / 10 + 1)); else span=$((span * 11 / 10 + 1)); fi
    if grep -q 'moved to journal.csv.torn' talk; then n_torn=$((n_torn + 1)); fi
    wrong=$(audit yes)
done
verdict "killed writers" "$wrong"
n_killed=$((round - n_told))
verdict "kills met writers at work" "$([ "$n_told" -gt 0 ] && [ "$n_killed" -gt 0 ] || echo "$n_told of $round were acknowledged")"

# The next record mends what they left; without that one row the audit must find whole records alone.
wrong=
"$program" record journal.csv specimen=last mix=m shape=cube length=100mm mass=1.7kg >/dev/null 2>talk || wrong=$(cat talk)
"$program" check journal.csv >checked || wrong="$wrong $(grep -A 3 'error' checked)"
grep -v '^last,' journal.csv >rest.csv; mv rest.csv journal.csv
verdict "what the kills left" "$wrong$(audit '')"

# ---- two writers at once ----

write_all() { # $1 the writer: its own names, and names that the other wants too
    k=0
    while [ "$k" -lt "$records" ]; do
        k=$((k + 1))
        "$program" record both.csv "specimen=W$1-$k" shape=cube length=100mm mass=1.7kg break_load=170kN >"ack$1" 2>&1 || echo "W$1-$k refused: $(cat "ack$1")"
        if [ $((k % 4)) -eq 0 ]; then
            "$program" record both.csv "specimen=X-$k" shape=cube length=100mm mass=1.7kg >"ack$1" 2>&1 && echo "X-$k won"
        fi
    done
}
write_all 1 >said1 & first=$!
write_all 2 >said2 & second=$!
wait "$first" "$second"
wrong=$(awk -F, -v records="$records" '
    FILENAME != "both.csv" { if (/ won$/) { sub(/ won$/, ""); if (won[$0]++) print $0 " was acknowledged twice" } else print; next }
    FNR > 1 { if (seen[$1]++) print $1 " stands twice"; n++ }
    END {
        for (k = 1; k <= records; k++) {
            if (!(("W1-" k) in seen) || !(("W2-" k) in seen)) print "number " k " of a writer is missing"
            if (k % 4 == 0 && !(("X-" k) in won)) print "X-" k " was acknowledged to nobody"
            if (k % 4 == 0 && !(("X-" k) in seen)) print "X-" k " is missing"
        }
        if (n != 2 * records + int(records / 4)) print n " rows"
    }' said1 said2 both.csv)
"$program" check both.csv >checked || wrong="$wrong $(grep -A 3 'error' checked)"
verdict "two writers" "$wrong"

echo "kills: $n_told of $round acknowledged, $n_torn left an unfinished record; writers: $((2 * records + records / 4)) records"
echo "record-crash: $passed passed, $failed failed"
[ "$failed" -eq 0 ]
