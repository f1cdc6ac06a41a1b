#!/bin/sh
# Who may include whom (src/layers.txt), which library belongs to which folder,
# and the calls that nobody may make. One line a breach; fails on any.
cd "$(dirname "$0")/../.." || exit 2
breaches=$(mktemp) || exit 2
trap 'rm -f "$breaches"' EXIT

sources=$(find src include -name '*.[ch]' | sort)
awk -f tests/structure/layers.awk src/layers.txt $sources >>"$breaches"

# $1 pattern, $2 where it may stand (an extended regular expression over file names), $3 what to say
only_in() {
    grep -nE "$1" $sources /dev/null | grep -vE "^($2):" | sed "s|\$|    <- $3|" >>"$breaches"
}
# $1 pattern, $2 how many files may hold it
at_most_files() {
    n=$(grep -lE "$1" $sources /dev/null | wc -l)
    [ "$n" -le "$2" ] || echo "$1 stands in $n files, at most $2 allowed" >>"$breaches"
}
include='^[[:space:]]*#[[:space:]]*include[[:space:]]*[<"]'
only_in "${include}csv\.h"            'src/ingest/[a-z_]+\.[ch]' 'csv.h belongs to ingest'
only_in "${include}Rmath\.h"          'src/stats/[a-z_]+\.[ch]'  'Rmath.h belongs to stats'
only_in "${include}gsl/"              'src/stats/[a-z_]+\.[ch]'  'gsl belongs to stats'
only_in "${include}(jansson|md4c)"    'src/output/[a-z_]+\.[ch]' 'jansson and md4c belong to output'
only_in "${include}ini\.h"            'src/commands/[a-z_]+\.[ch]' 'inih belongs to commands'
at_most_files "${include}csv\.h" 1
at_most_files "${include}Rmath\.h" 1

call='(^|[^a-zA-Z0-9_>.])'
only_in "${call}(_?exit|abort|quick_exit)[[:space:]]*\(" 'src/main\.c|src/stats/[a-z_]*guard\.c' 'only main exits'
only_in "${call}(printf|puts|putchar|vprintf)[[:space:]]*\(" 'src/main\.c|src/output/[a-z_]+\.c' 'only output and main print'
only_in "${call}(malloc|calloc|realloc|free|strdup|strndup|asprintf)[[:space:]]*\(" 'src/base/memory\.c' 'memory goes through base/memory.h'
only_in "${call}(strcpy|strcat|sprintf|vsprintf|strtok|atof|atoi|atol|gets|setlocale|system|popen)[[:space:]]*\(" 'nowhere' 'never to be called'

cat "$breaches"
if [ -s "$breaches" ]; then
    echo "layers: 0 passed, 1 failed"
    exit 1
fi
echo "layers: 1 passed, 0 failed"
