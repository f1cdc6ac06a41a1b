#!/bin/sh
# The real program where it meets others or has no room: two writers with thousands of rows, a folder and files that
# an ordinary user may not write, and a full disk. Every acknowledged specimen must stand in the journal exactly once,
# a record is there whole or not at all, and a refusal leaves every byte as it was.
# usage: tests/faults/record-surroundings.sh PROGRAM [RECORDS]
program=$1; records=${2:-100}
case $program in /*) ;; *) program=$PWD/$program ;; esac
[ -x "$program" ] || { echo "$program: not built" >&2; exit 2; }
work=$(mktemp -d) || exit 2
disk=
trap '[ -z "$disk" ] || umount "$disk" 2>/dev/null; chmod -R u+rwx "$work"; rm -rf "$work"' EXIT
# An ordinary user may not be able to reach where the program was built.
chmod 755 "$work" && cp "$program" "$work/plumestone" && program=$work/plumestone && cd "$work" || exit 2
passed=0; failed=0
verdict() { # $1 what, $2 "" or what is wrong
    if [ -z "$2" ]; then passed=$((passed + 1)); else failed=$((failed + 1)); echo "FAILED: $1: $2"; fi
}

# ---- two writers at once: records of 20 rows, every fourth of them wanted by both ----

make_rows() { # $1 name of the record
    awk -v name="$1" 'BEGIN { print "specimen,mix,batch,shape,length_mm,mass_g,break_load_kN"
        for (k = 1; k <= 20; k++) printf "%s-%d,m,%s,cube,100,%d,%.1f\n", name, k, name, 1600 + k, 150 + k / 10 }'
}
write_all() { # $1 the writer
    k=0
    while [ "$k" -lt "$records" ]; do
        k=$((k + 1)); name=W$1-$k
        [ $((k % 4)) -ne 0 ] || name=X-$k
        make_rows "$name" >"rows$1.csv"
        if "$program" record both.csv --from "rows$1.csv" >"ack$1" 2>&1 && grep -q '^recorded 20 specimens' "ack$1"; then
            echo "$name"
        elif [ "$name" = "W$1-$k" ]; then
            echo "refused: $name: $(head -n 1 "ack$1")"
        fi
    done
}
write_all 1 >told1 & first=$!
write_all 2 >told2 & second=$!
wait "$first" "$second"
wrong=$(awk -F, -v records="$records" '
    FILENAME != "both.csv" { if (/^refused/) print; else if (told[$0]++) print $0 " was acknowledged twice"; next }
    FNR > 1 { if (seen[$1]++) print $1 " stands twice"; name = $1; sub(/-[0-9]+$/, "", name); n[name]++ }
    END {
        for (name in told) if (n[name] != 20) print "acknowledged " name ": " n[name] + 0 " of 20 rows"
        for (name in n) { if (!(name in told)) print name " was not acknowledged"; all++ }
        if (all != 2 * records - int(records / 4)) print all " records in the journal"
    }' told1 told2 both.csv | head -n 5)
"$program" check --quiet both.csv >checked 2>&1 || wrong="$wrong $(grep -A 3 error checked)"
verdict "two writers" "$wrong"
n_rows=$(($(wc -l <both.csv) - 1))

# ---- what an ordinary user may not write ----

if [ "$(id -u)" -ne 0 ]; then
    as_user() { "$@"; }
elif setpriv --reuid=65534 --regid=65534 --clear-groups true 2>/dev/null; then
    as_user() { setpriv --reuid=65534 --regid=65534 --clear-groups "$@"; }
else
    as_user() { su -s /bin/sh nobody -c 'exec "$@"' -- sh "$@"; }
fi
ours() { # gives files to the ordinary user
    [ "$(id -u)" -ne 0 ] || chown 65534:65534 "$@"
}
printf 'specimen,shape,length_mm,mass_g\nA1,cube,100,1710\n' >one.csv
printf 'specimen,shape,length_mm,mass_g\nA1,cube,100,1710\nA2,cube,100,x\n' >bad.csv
chmod 644 one.csv bad.csv
mkdir closed hidden
"$program" record closed/locked.csv --from one.csv >/dev/null
cp closed/locked.csv closed/open.csv
cp closed/locked.csv closed/torn.csv
printf 'B1,,,cube' >>closed/torn.csv
ours closed/open.csv closed/torn.csv closed hidden
chmod 444 closed/locked.csv; chmod 644 closed/open.csv closed/torn.csv; chmod 555 closed; chmod 000 hidden
cp -rp closed before
try() { # $1 what, $2 wanted exit code, $3 words, then the arguments of the program
    what=$1; code=$2; words=$3; shift 3
    as_user "$program" "$@" >said 2>&1 </dev/null
    got=$?
    wrong=
    [ "$got" -eq "$code" ] || wrong="exit $got: $(head -n 2 said)"
    grep -qF -e "$words" said || wrong="$wrong does not say '$words': $(head -n 2 said)"
    diff -r before closed >changed || wrong="$wrong changed: $(head -n 2 changed)"
    verdict "$what" "$wrong"
}
new="specimen=A2 shape=cube length=100mm mass=1.7kg"
try "new journal in a read-only folder" 4 "Permission denied" record closed/new.csv $new
try "journal that may only be read" 4 "Permission denied" record closed/locked.csv $new
try "unfinished record that cannot be moved away" 4 "Permission denied" record closed/torn.csv $new
try "journal in a folder that may not be entered" 4 "Permission denied" record hidden/new.csv $new
try "answer into a read-only folder" 4 "Permission denied" results --output closed/answer.csv one.csv
try "rows set aside into a read-only folder" 4 "Permission denied" results --set-aside closed/aside.csv bad.csv
try "report into a read-only folder" 4 "Permission denied" report --output closed/report --target compressive_strength=1MPa both.csv
# A journal of one's own takes a record though its folder cannot change.
as_user "$program" record closed/open.csv $new >said 2>&1
code=$?
wrong=
[ "$code" -eq 0 ] && grep -q '^A2,' closed/open.csv || wrong="exit $code: $(head -n 2 said)"
verdict "own journal in a read-only folder" "$wrong"
chmod 755 closed hidden

# ---- a full disk ----

disk=$work/disk
mkdir "$disk"
if mount -t tmpfs -o size=128k tmpfs "$disk" 2>/dev/null; then
    k=0; code=0
    : >told
    while [ "$code" -eq 0 ] && [ "$k" -lt 1000 ]; do
        k=$((k + 1)); make_rows "F-$k" >rows.csv
        cp "$disk/journal.csv" last.csv 2>/dev/null
        "$program" record "$disk/journal.csv" --from rows.csv >said 2>&1; code=$?
        [ "$code" -ne 0 ] || echo "F-$k" >>told
    done
    wrong=
    [ "$code" -eq 4 ] || wrong="exit $code after $k records"
    grep -q 'No space left on device' said && grep -q 'the journal is as it was' said || wrong="$wrong said: $(head -n 2 said)"
    cmp -s last.csv "$disk/journal.csv" || wrong="$wrong the journal has changed"
    [ "$(ls "$disk")" = journal.csv ] || wrong="$wrong left behind: $(ls "$disk")"
    verdict "record on a full disk" "$wrong"
    "$program" results --csv --output "$disk/answer.csv" both.csv >said 2>&1; code=$?
    wrong=
    [ "$code" -eq 4 ] && grep -q 'No space left on device' said || wrong="exit $code: $(head -n 2 said)"
    [ "$(ls "$disk")" = journal.csv ] || wrong="$wrong left behind: $(ls "$disk")"
    verdict "answer on a full disk" "$wrong"
    "$program" report --output "$disk/report" --target compressive_strength=1MPa both.csv >said 2>&1; code=$?
    wrong=
    [ "$code" -eq 4 ] || wrong="exit $code: $(head -n 2 said)"
    [ "$(find "$disk" -type f | grep -vcE '/(journal|results|set-aside)\.csv$|/report\.(md|html)$|/summary\.json$|/charts/[a-z-]+\.(gp|svg|png)$')" -eq 0 ] ||
        wrong="$wrong left behind: $(find "$disk" -type f)"
    verdict "report on a full disk" "$wrong"
    # Room again, and the record that was refused goes in.
    rm -rf "$disk/report"; mount -o remount,size=1m "$disk"
    "$program" record "$disk/journal.csv" --from rows.csv >said 2>&1; code=$?
    echo "F-$k" >>told
    wrong=$(awk -F, 'FILENAME == "told" { told[$0] = 1; next }
        FNR > 1 { if (seen[$1]++) print $1 " stands twice"; name = $1; sub(/-[0-9]+$/, "", name); n[name]++ }
        END { for (name in told) if (n[name] != 20) print name ": " n[name] + 0 " of 20 rows"
              for (name in n) if (!(name in told)) print name " was not acknowledged" }' told "$disk/journal.csv" | head -n 5)
    [ "$code" -eq 0 ] || wrong="$wrong exit $code: $(head -n 2 said)"
    "$program" check --quiet "$disk/journal.csv" >checked 2>&1 || wrong="$wrong $(grep -A 3 error checked)"
    verdict "room again" "$wrong"
    full="full after $(wc -l <told) records"
else
    full="full disk not run, no right to mount one"
fi

echo "writers: $n_rows rows; $full"
echo "record-surroundings: $passed passed, $failed failed"
[ "$failed" -eq 0 ]
