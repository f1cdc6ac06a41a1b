#!/bin/sh
# Reads the code by three analysers: clang-tidy (.clang-tidy says what for), cppcheck and gcc -fanalyzer. Anything they say is
# a failure; an exception is explained where it stands, or in .clang-tidy.
# usage: lint.sh   (BUILD names the build folder; ANALYSERS="tidy cppcheck gcc" chooses; JOBS=2 says how many read at once)
cd "$(dirname "$0")/../.." || exit 2
build=${BUILD:-build} jobs=${JOBS:-2}
flags="-std=c11 -DREAD_BY_ANALYSERS -D_POSIX_C_SOURCE=200809L -D_DEFAULT_SOURCE -DPLUMESTONE_VERSION=\"lint\" -Iinclude -Isrc"
libraries='gsl libRmath jansson inih md4c-html zlib'
sh .make/install-packages.sh torture || exit 1
flags="$flags $(pkg-config --cflags $libraries)"
passed=0; failed=0
said=$(mktemp) || exit 2
trap 'rm -f "$said"' EXIT
verdict() { # $1 analyser, $2 its exit code; what it said counts too
    if [ "$2" -eq 0 ] && ! grep -qE '(warning|error): ' "$said"; then passed=$((passed + 1)); else
        failed=$((failed + 1)); echo "FAILED: $1"; head -n 100 "$said"
    fi
}
for analyser in ${ANALYSERS:-tidy cppcheck gcc}; do
    case $analyser in
    tidy) # a file at a time: it remembers nothing between files anyway
        find src -name '*.c' | xargs -P "$jobs" -I{} clang-tidy --quiet {} -- $flags >"$said" 2>/dev/null
        verdict clang-tidy $? ;;
    cppcheck)
        cppcheck --quiet --std=c11 --enable=warning,performance,portability --inline-suppr --suppress=missingIncludeSystem \
            -DPLUMESTONE_VERSION='"lint"' -Iinclude -Isrc --error-exitcode=1 -j "$jobs" src >"$said" 2>&1
        verdict cppcheck $? ;;
    gcc)
        make --no-print-directory --silent -j"$jobs" --keep-going BUILD="$build/analyzed" 'CFLAGS=-O1 -fanalyzer -DREAD_BY_ANALYSERS -Wno-unused-value -Wno-conversion -Wno-sign-conversion' "$build/analyzed/plumestone" >"$said" 2>&1
        verdict 'gcc -fanalyzer' $? ;;
    esac
done
echo "lint: $passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
