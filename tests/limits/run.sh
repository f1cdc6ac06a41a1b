#!/bin/sh
# Files far larger than a laboratory's: each is answered or refused in words, within
# the memory that stands beside it. Prints what each took.
# usage: run.sh PROGRAM HELPERS [quick|full]   (HELPERS: folder of peak)
program=$1 helpers=$2 size=${3:-full}
case $program in /*) ;; *) program=$PWD/$program ;; esac
case $helpers in /*) ;; *) helpers=$PWD/$helpers ;; esac
[ -x "$program" ] && [ -x "$helpers/peak" ] || { echo "not built" >&2; exit 2; }
work=$(mktemp -d) || exit 2
trap 'rm -rf "$work"' EXIT
cd "$work" || exit 2
passed=0 failed=0
good() { passed=$((passed + 1)); }
bad() { failed=$((failed + 1)); echo "FAILED: $*"; head -n 3 err; }

# study MIXES BATCHES SPECIMENS: so many of each in the one above
study() {
    awk -v mixes="$1" -v batches="$2" -v specimens="$3" 'BEGIN {
        print "specimen,mix,batch,aggregate,aggregate_fraction,density_kg_m3,compressive_strength_mpa,age_days,moisture"
        for (i = 0; i < mixes; i++) for (j = 0; j < batches; j++) for (k = 0; k < specimens; k++) {
            f = 0.1 + 0.7 * i / mixes; luck = (i * 7 + j * 13) % 11 - 5; own = (i * 5 + j * 3 + k * 17) % 13 - 6
            printf "s%d-%d-%d,m%d,b%d,a,%.5f,%.1f,%.3f,28,air-dry\n", i, j, k, i, j, f,
                2300 - 1000 * f + 2 * luck + own, 40 * exp(-2 * f) * (1 + 0.01 * luck + 0.008 * own)
        }
    }'
}
# try WHAT CODE MEGABYTES COMMAND...: exit code CODE within so much memory; what was said is in out and err
try() {
    what=$1 want=$2 memory=$3
    shift 3
    timeout 1800 "$helpers/peak" "$memory" "$program" "$@" >out 2>err 3>took
    code=$?
    if [ "$code" -eq "$want" ] && [ -s out -o -s err ]; then good; else bad "$what: $1: exit $code, not $want"; fi
    read -r _ peak seconds <took || peak=- seconds=-
    printf '%-28s %-10s exit %d  %5s MB of %s  %6s s\n' "$what" "$1" "$code" "$peak" "$memory" "$seconds"
}
says() { # $1 words that the answer or the refusal must hold
    if grep -qF -e "$1" out err; then good; else bad "$what: '$1' is not said"; fi
}

if [ "$size" = full ]; then
    rows=1000000 mixes=10000 batches=100000 cell_mb=100 columns=10000
else
    rows=20000 mixes=500 batches=2000 cell_mb=4 columns=10000
fi
target='--target compressive_strength=15MPa'

study 20 $((rows / 100)) 5 >rows.csv
try "$rows rows" 0 2000 check --quiet rows.csv
says "$rows specimens"
try "$rows rows" 0 2000 fit --quiet rows.csv
says "$rows specimens"
try "$rows rows" 0 2000 recommend --quiet $target rows.csv
says 'Cast '
rm -f rows.csv

study "$mixes" 2 2 >mixes.csv
try "$mixes mixes" 0 1000 check --quiet mixes.csv
says "of $mixes mixes"
try "$mixes mixes" 0 1000 compare --quiet mixes.csv
says "$mixes mixes have more pairs than can be read"
try "$mixes mixes" 0 1000 recommend --quiet $target mixes.csv
says 'Cast '
try "$mixes mixes" 0 1000 report --quiet $target --output report mixes.csv
says 'report/report.html'
rm -rf mixes.csv report

study 10 $((batches / 10)) 2 >batches.csv
try "$batches batches" 0 1000 check --quiet batches.csv
says "in $batches batches"
try "$batches batches" 0 1000 fit --quiet batches.csv
says "in $batches batches"
try "$batches batches" 0 1000 compare --quiet batches.csv
try "$batches batches" 0 1000 recommend --quiet $target batches.csv
says 'Cast '
rm -f batches.csv

# Cells and lines without end, quoted or not, in the heading or below it.
letters() { head -c $(($1 * 1000000)) /dev/zero | tr '\0' a; }
for place in 'a cell' 'a quoted cell' 'a heading' 'an open quote'; do
    {
        case $place in
        'a cell') printf 'specimen,mix,density_kg_m3\ns1,'; letters "$cell_mb"; printf ',1500\n' ;;
        'a quoted cell') printf 'specimen,mix,density_kg_m3\ns1,"'; letters "$cell_mb"; printf '",1500\n' ;;
        'a heading') printf 'specimen,'; letters "$cell_mb"; printf ',density_kg_m3\ns1,M,1500\n' ;;
        'an open quote')
            printf 'specimen,mix,density_kg_m3,note\ns1,M,1500,"'
            letters 1 | sed 's/a\{90\}/&\n/g'
            yes 's2,M,1500,x' | head -c $((cell_mb * 1000000)) ;;
        esac
    } >long.csv
    try "$place of $cell_mb MB" 3 100 results long.csv
    says 'long.csv:'
done
rm -f long.csv

awk -v n=$columns 'BEGIN { printf "specimen,mix,density_kg_m3"; for (i = 4; i <= n; i++) printf ",column%d", i; print ""
    printf "s1,M,1500"; for (i = 4; i <= n; i++) printf ",1"; print "" }' >columns.csv
try "$columns columns" 3 100 results columns.csv
says 'columns.csv:1'

echo "limits: $passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
