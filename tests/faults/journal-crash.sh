#!/bin/sh
# The journal under kill -9, two writers, a full disk and read-only folders.
# usage: tests/faults/journal-crash.sh [quick|long]   (BUILD names the build folder)
# quick: 300 kills, under 20 s. long: 1000 kills, ten times the rows.
set -eu
cd "$(dirname "$0")/../.."
build=${BUILD:-build}
case ${1:-quick} in
quick) kills=300 records=500 ;;
long) kills=1000 records=5000 ;;
*) echo "usage: $0 [quick|long]" >&2; exit 2 ;;
esac

make -s BUILD="$build" "$build/libingest.a" "$build/libbase.a"
program=$build/tests/faults/journal-kill
mkdir -p "$(dirname "$program")"
${CC:-gcc} -std=c11 -Wall -Wextra -Wpedantic -Wconversion -Wshadow -Wstrict-prototypes -Wmissing-prototypes -Werror \
    ${CFLAGS:--O2 -g} -D_POSIX_C_SOURCE=200809L -D_DEFAULT_SOURCE -Iinclude -Isrc -Itests/faults -o "$program" \
    tests/faults/journal-kill.c "$build/libingest.a" "$build/libbase.a" $(pkg-config --libs zlib) -lcsv -lm

"$program" kill "$kills" "${SEED:-1}"
"$program" writers "$records"
"$program" limit
"$program" readonly

# A file system of 64 KiB needs the right to mount one.
small=$(mktemp -d)
trap 'umount "$small" 2>/dev/null || true; rmdir "$small"' EXIT
if mount -t tmpfs -o size=64k tmpfs "$small" 2>/dev/null; then
    "$program" full "$small"
else
    echo "full: not run, no right to mount a small file system"
fi

# No acknowledgement before the rows and the folder's entry are on the disk: between two acknowledgements
# (8 bytes into a pipe) each writer locks, writes, syncs the same file, syncs the folder and closes the file.
if command -v strace >/dev/null 2>&1; then
    calls=$(mktemp -d)
    strace -ff -o "$calls/of" -e trace=flock,write,fsync,close "$program" writers 20 >/dev/null
    awk '
        { pid = FILENAME; call = $1; descriptor = substr($0, index($0, "(") + 1) + 0; sub(/\(.*/, "", call) }
        / = -1 / { next }
        call == "flock" { file[pid] = descriptor; step[pid] = 1 }
        call == "write" && descriptor == file[pid] && step[pid] == 1 { step[pid] = 2 }
        call == "fsync" && step[pid] == 3 && descriptor != file[pid] { step[pid] = 4 }
        call == "fsync" && step[pid] == 2 && descriptor == file[pid] { step[pid] = 3 }
        call == "close" && step[pid] == 4 && descriptor == file[pid] { step[pid] = 5 }
        call == "write" && /, 8\)? *= 8$/ { n++; if (step[pid] != 5) bad++; step[pid] = 0 }
        END { print "order: " n " acknowledgements, " bad + 0 " before the disk had the rows"; exit bad > 0 || n != 40 }
    ' "$calls"/of.*
    rm -r "$calls"
else
    echo "order: not run, strace is not installed"
fi
