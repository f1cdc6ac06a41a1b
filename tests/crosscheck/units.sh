#!/bin/sh
# Holds every unit of the program against GNU units, an independent program (Debian package `units`).
# usage: tests/crosscheck/units.sh   (BUILD names the build folder)
cd "$(dirname "$0")/../.." || exit 2
build=${BUILD:-build}
if ! command -v units >/dev/null 2>&1; then
    echo "units: not run, for GNU units is not installed (apt-get install units)"
    echo "units: 0 passed, 0 failed"
    exit 0
fi
program=$build/tests/crosscheck/list-units
mkdir -p "$(dirname "$program")"
make -s BUILD="$build" "$build/libspecimen.a" "$build/libingest.a" "$build/libbase.a" || exit 2
${CC:-gcc} -std=c11 -O2 -Wall -Wextra -Werror -Iinclude -o "$program" tests/crosscheck/list-units.c \
    "$build/libspecimen.a" "$build/libingest.a" "$build/libbase.a" -lcsv $(pkg-config --libs zlib) -lm || exit 2

# What the other program calls a symbol of a kind.
other_name() { # $1 kind, $2 symbol
    case $1/$2 in
    force/lb|force/lbs) echo lbf ;;
    percent/1|fraction/1) echo 1 ;;
    percent/*|fraction/*) echo percent ;;
    */pcf) echo lb/ft^3 ;;
    */lbs) echo lb ;;
    */kips) echo kip ;;
    */t) echo tonne ;;
    */oz) echo ounce ;;
    */in|*/inch|*/inches) echo inch ;;
    density/kg/L) echo kg/liter ;;
    */L) echo liter ;;
    */mL) echo milliliter ;;
    */gal) echo usgallon ;;
    age/d|age/days) echo day ;;
    age/h|age/hours) echo hour ;;
    age/weeks) echo week ;;
    */feet) echo foot ;;
    *) echo "$2" | sed 's/\([a-z]\)\([23]\)/\1^\2/' ;;
    esac
}
passed=0; failed=0
"$program" >"$program.list" || exit 2
while read -r kind symbol factor base; do
    [ "$kind" = percent ] && base=%
    want=$(units -t -o '%.15g' -- "$(other_name "$kind" "$symbol")" "$(other_name "$kind" "$base")") || want=
    if awk -v a="$factor" -v b="$want" 'BEGIN { d = a - b; exit !(b > 0 && d * d <= (1e-14 * b) ^ 2) }'; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1)); echo "FAILED: $kind: $symbol is $factor $base here, ${want:-nothing} there"
    fi
done <"$program.list"
echo "units: $passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
