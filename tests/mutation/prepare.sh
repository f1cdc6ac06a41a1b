#!/bin/sh
# Builds what the mutation check needs below $BUILD: every object once, a shared
# library of them, and each test linked with that library by its name alone, so that a fault costs
# one compilation and one link. Objects run under the address sanitizer.
mkdir -p "$BUILD" || exit 1
gcc -std=c11 -O2 -Wall -Wextra -Werror -o "$BUILD/faults" tests/mutation/faults.c -lm || exit 1
# gcc reads the flags from a file, quotes and all.
printf '%s\n' "$MUTANT_FLAGS" >"$BUILD/flags"
# A changed header makes everything anew.
[ -e "$BUILD/headers" ] && [ -z "$(find include src tests -name '*.h' -newer "$BUILD/headers")" ] || rm -rf "$BUILD/objects"
touch "$BUILD/headers"
for source in src/*.c src/*/*.c tests/unit/*/*.c tests/certified/*.c; do
    object=$BUILD/objects/${source%.c}.o
    [ "$object" -nt "$source" ] || printf '%s %s\n' "$source" "$object"
done >"$BUILD/stale"
xargs -r -P 2 -L 1 sh -c 'mkdir -p "$(dirname "$1")" && gcc "@$BUILD/flags" -c -o "$1" "$0" || exit 255' <"$BUILD/stale" || exit 1
mkdir -p "$BUILD/whole" "$BUILD/tests"
library=$BUILD/whole/libplumestone.so
gcc "@$BUILD/flags" -shared -Wl,-soname,libplumestone.so -o "$library" "$BUILD"/objects/src/*/*.o $MUTANT_LIBRARIES || exit 1
gcc "@$BUILD/flags" -o "$BUILD/plumestone" "$BUILD/objects/src/main.o" "$library" $MUTANT_LIBRARIES || exit 1
for object in "$BUILD"/objects/tests/*/*.o "$BUILD"/objects/tests/unit/*/*.o; do
    program=${object#"$BUILD/objects/"}
    program=$BUILD/${program%.o}
    mkdir -p "$(dirname "$program")"
    [ "$program" -nt "$object" ] || gcc "@$BUILD/flags" -o "$program" "$object" "$library" $MUTANT_LIBRARIES || exit 1
done
