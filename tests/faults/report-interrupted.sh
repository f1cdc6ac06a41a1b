#!/bin/sh
# A report that is made anew over an older one, cut short: by SIGINT, SIGTERM and SIGKILL at any moment, by a full disk, by a
# reader that goes away, by /dev/full. Each file of the report must stay as it was or be the new one, whole; what is
# left behind otherwise may only be hidden temporaries of a run that was killed, and the next run must succeed.
# usage: tests/faults/report-interrupted.sh PROGRAM [KILLS]
program=$1; kills=${2:-30}
case $program in /*) ;; *) program=$PWD/$program ;; esac
[ -x "$program" ] || { echo "$program: not built" >&2; exit 2; }
root=$(cd "$(dirname "$0")/../.." && pwd) || exit 2
work=$(mktemp -d) || exit 2
disk=
trap '[ -z "$disk" ] || umount "$disk" 2>/dev/null; rm -rf "$work"' EXIT
cd "$work" || exit 2
passed=0; failed=0
verdict() { # $1 what, $2 "" or what is wrong
    if [ -z "$2" ]; then passed=$((passed + 1)); else failed=$((failed + 1)); echo "FAILED: $1: $2"; fi
}
cp "$root/datasets/roof-terrace-pavers/specimens.csv" .
# No gnuplot: its pictures take seconds, and whether it is killed is not ours to try here.
report() { # $1 folder, $2 target
    PATH=/nonexistent "$program" report --quiet --output "$1" --target "compressive_strength=$2MPa" --age 28 --moisture air-dry specimens.csv 2>said
    code=$?
    sed -i '/^doubtful: /d' said # of the data; what is left tells of the run
    return $code
}
report old 12 >/dev/null && report new 15 >/dev/null || { echo "no report to try with" >&2; exit 2; }

# Files of folder $1 that are neither the old nor the new one, and those that are gone; hidden ones only when $2 says so.
audit() {
    (cd "$1" && find . -type f) | while IFS= read -r file; do
        case $file in */.*) [ "$2" = hidden ] || echo "left behind: $file"; continue ;; esac
        cmp -s "$1/$file" "old/$file" || cmp -s "$1/$file" "new/$file" || echo "$file is neither the old nor the new one"
    done
    (cd old && find . -type f) | while IFS= read -r file; do [ -e "$1/$file" ] || echo "$file is gone"; done
}
start=$(date +%s%N)
report new 15 >/dev/null
span=$((($(date +%s%N) - start) / 1000)) # microseconds that one takes

n_cut=0; n_hidden=0
for signal in INT TERM KILL; do
    k=0; wrong=
    while [ "$k" -lt "$kills" ] && [ -z "$wrong" ]; do
        k=$((k + 1))
        rm -rf report && cp -r old report
        pause=$(awk -v seed="$signal$k" -v k="$k" -v span="$span" 'BEGIN { srand(k + length(seed)); printf "%.6f", rand() * 1.1 * span / 1e6 }')
        : >ack # one may be killed before it opens it
        # A background job of a shell ignores SIGINT; env gives it its meaning back.
        { PATH=/nonexistent /usr/bin/env --default-signal=INT "$program" report --quiet --output report --target compressive_strength=15MPa --age 28 \
              --moisture air-dry specimens.csv >ack 2>said & child=$!; sleep "$pause"; kill "-$signal" "$child"; wait "$child"; code=$?; } 2>/dev/null
        [ "$code" -le 128 ] || n_cut=$((n_cut + 1))
        n_hidden=$((n_hidden + $(find report -name '.*' -type f | wc -l)))
        wrong=$(audit report hidden | head -n 3)
        # The answer is given once all files are there; a signal may still come between that and the end.
        [ ! -s ack ] || diff -rq --exclude='.*' report new >differs || wrong="$wrong answered before the files were there: $(head -n 1 differs)"
    done
    [ -n "$wrong" ] || report report 15 >/dev/null || wrong="the next run fails"
    [ -n "$wrong" ] || wrong=$(audit report hidden | head -n 3)
    verdict "SIG$signal" "$wrong"
done

rm -rf report && cp -r old report
report report 15 >/dev/full; code=$?
wrong=$(audit report)
[ "$code" -eq 4 ] && grep -q 'No space left on device' said || wrong="$wrong exit $code: $(head -n 1 said)"
verdict "answer to /dev/full" "$wrong"

rm -rf report && cp -r old report
{ report report 15; echo $? >code; } | true
wrong=$(audit report)
# The reader may have taken the answer before it went.
case $(cat code) in 0|4) ;; *) wrong="$wrong exit $(cat code)" ;; esac
[ ! -s said ] || wrong="$wrong said: $(head -n 1 said)"
verdict "reader that goes away" "$wrong"

disk=$work/disk
mkdir "$disk"
full="full disk not run, no right to mount one"
if mount -t tmpfs -o size=1m tmpfs "$disk" 2>/dev/null; then
    cp -r old "$disk/report"
    # Room for a part of the new report, or in the end for all of it.
    wrong=; n_fitted=0
    for free in 0 32 96 192 320 480; do
        rm -f "$disk/ballast"
        room=$(df --output=avail -k "$disk" | tail -n 1)
        head -c "$(((room - free) * 1024))" /dev/zero >"$disk/ballast"
        if report "$disk/report" 15 >/dev/null; then n_fitted=$((n_fitted + 1)); else
            [ "$code" -eq 4 ] && grep -q 'No space left on device' said || wrong="$wrong $free KiB free: exit $code: $(head -n 1 said)"
        fi
        wrong="$wrong$(audit "$disk/report" | head -n 3)"
    done
    [ "$n_fitted" -ge 1 ] && [ "$n_fitted" -lt 5 ] || wrong="$wrong of six disks $n_fitted had room: too few were full, or all"
    verdict "report on a full disk" "$wrong"
    rm -f "$disk/ballast"
    wrong=
    report "$disk/report" 15 >/dev/null || wrong="exit $?: $(head -n 1 said)"
    verdict "room again" "$wrong$(diff -rq "$disk/report" new)"
    full="full disk six times, $n_fitted of them with room enough"
fi
echo "report: $((3 * kills)) kills, $n_cut of them in time, $n_hidden hidden temporaries left; $full"
echo "report-interrupted: $passed passed, $failed failed"
[ "$failed" -eq 0 ]
