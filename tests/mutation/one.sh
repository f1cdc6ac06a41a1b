#!/bin/sh
# One seeded fault: line $MUTANT_NUMBER of the sample (0: none). Leaves one line in
# $BUILD/results: number, what caught it or "missed", file, line, the line as it is and as seeded.
number=$MUTANT_NUMBER
tab=$(printf '\t')
place=$BUILD/mutant-$number
mkdir -p "$place"
trap 'rm -rf "$place"' EXIT
[ "$number" -eq 0 ] || sed -n "${number}p" "$BUILD/sample" >"$place/fault"
if [ "$number" -gt 0 ]; then
    IFS=$tab read -r rank source offset length line text was becomes <"$place/fault"
else
    source=src/stats/none.c offset=0 length=0 line=0 text= was= becomes=
fi
verdict() {
    printf '%s\t%s\t%s\t%s\t%s\t%s\n' "$number" "$1" "$source" "$line" "$was" "$becomes" >"$BUILD/results/$number"
    printf '%s\t%s\t%s:%s\n' "$number" "$1" "$source" "$line"
    exit "$2"
}
folder=$(basename "$(dirname "$source")") name=$(basename "$source" .c)

if [ "$number" -gt 0 ]; then
    # An empty replacement is lost by read, which takes tabs in a row for one.
    text=$(cut -f6 "$place/fault"); was=$(cut -f7 "$place/fault"); becomes=$(cut -f8 "$place/fault")
    "$BUILD/faults" apply "$source" "$offset" "$length" "$text" >"$place/$name.c" || verdict "no program" 0
    gcc "@$BUILD/flags" -w -iquote "src/$folder" -c -o "$place/$name.o" "$place/$name.c" 2>/dev/null || verdict "no program" 0
    others=$(ls "$BUILD"/objects/src/*/*.o | grep -v "/$folder/$name\.o$")
    gcc "@$BUILD/flags" -shared -Wl,-soname,libplumestone.so -o "$place/libplumestone.so" $others "$place/$name.o" $MUTANT_LIBRARIES || verdict "no program" 0
    export LD_LIBRARY_PATH="$place"
else
    export LD_LIBRARY_PATH="$BUILD/whole"
fi

# A fault that loops is caught by the processor's time, which a busy machine does not use up.
run_program() {
    (ulimit -t 60; exec "$1") >"$place/log" 2>&1 </dev/null || verdict "${1#"$BUILD/tests/"}" 1
}
# Drawing takes long and computes nothing; help and the journal ask nothing of these folders.
run_cases() { # $1 folder of cases
    cases=$(ls "$1" | grep -vE '^(report|chart|help|record|environment|names)')
    (ulimit -t 60; STOP_AT_FIRST=1 exec sh tests/run-golden.sh "$BUILD/plumestone" "$1" $cases) >"$place/log" 2>&1 </dev/null ||
        verdict "$1: $(sed -n 's/^FAILED: .*\///p' "$place/log" | head -n 1)" 1
}
# The folders whose tests link with the seeded one and ask it something.
case $folder in
stats)    linked='unit/analysis|unit/advise|certified' ;;
specimen) linked='unit/analysis|unit/advise|unit/output|unit/commands' ;;
advise)   linked='unit/output' ;;
esac
# These take seconds each: last, and only for their own folder.
slow='advise/brute_force|advise/plan_trial|commands/faults|commands/record|stats/studentized_range'
# Pictures are drawn by another program against a clock, and show what others compute.
programs=$(find "$BUILD/tests" -type f | grep -vE 'output/(chart|report)$' | sort)

# The likeliest first: the test of the same name, its folder, the cases, then all that is left.
own=$BUILD/tests/unit/$folder/$name
[ ! -x "$own" ] || run_program "$own"
for program in $(echo "$programs" | grep "/unit/$folder/" | grep -vE "$slow"); do
    run_program "$program"
done
run_cases tests/golden
for program in $(echo "$programs" | grep -E "/($linked)/" | grep -vE "$slow") \
               $(echo "$programs" | grep "/unit/$folder/" | grep -E "$slow"); do
    run_program "$program"
done
run_cases tests/messy
(ulimit -t 60; exec sh tests/run-messy.sh "$BUILD/plumestone" tests/messy) >"$place/log" 2>&1 </dev/null || verdict "tests/messy" 1
[ "$number" -gt 0 ] || verdict "all pass" 0
verdict missed 0
