#!/bin/sh
# Opens the pages that the program writes in a real browser (headless Chromium, steered through the WebDriver protocol) on
# a phone's and a desk's width, light, dark and printed, and counts complaints: see audit.js. Besides, the console must
# stay empty, nothing may be fetched, and the page must print to PDF. A page that does everything wrong proves the audit.
# usage: tests/browser/run.sh PROGRAM [FOLDER]   (FOLDER keeps the pages, pictures of them, and the PDFs)
program=$1; keep=${2:-}
case $program in /*) ;; *) program=$PWD/$program ;; esac
[ -x "$program" ] || { echo "$program: not built" >&2; exit 2; }
here=$(cd "$(dirname "$0")" && pwd) && root=$(cd "$here/../.." && pwd) || exit 2
work=$(mktemp -d) || exit 2
driver=
stop() {
    [ -z "${session:-}" ] || curl -s -X DELETE "$base/session/$session" >/dev/null
    [ -z "$driver" ] || kill "$driver" 2>/dev/null
    rm -rf "$work"
}
trap stop EXIT
[ -z "$keep" ] || mkdir -p "$keep" || exit 2
passed=0; failed=0
verdict() { # $1 what, $2 a file of complaints, empty when all is well
    if [ -s "$2" ]; then
        failed=$((failed + 1)); echo "FAILED: $1:"; sed 's/^/  /' "$2" | head -n 20
    else
        passed=$((passed + 1))
    fi
}

# ---- the browser ----

start_driver() {
    chromedriver --port=0 >"$work/driver" 2>&1 &
    driver=$!
    for _ in $(seq 120); do # a minute, on a machine that may be busy
        port=$(sed -n 's/.*successfully on port \([0-9]*\).*/\1/p' "$work/driver")
        [ -z "$port" ] || break
        sleep 0.5
    done
    [ -n "$port" ] || { echo "chromedriver does not start:"; cat "$work/driver"; exit 1; }
    base=http://127.0.0.1:$port
}
start_browser() {
    sandbox=; [ "$(id -u)" -ne 0 ] || sandbox='"--no-sandbox",'
    session=$(curl -s -X POST "$base/session" -d '{"capabilities":{"alwaysMatch":{
        "goog:loggingPrefs":{"browser":"ALL","performance":"ALL"},
        "goog:chromeOptions":{"args":['"$sandbox"'"--headless","--disable-gpu","--disable-dev-shm-usage","--user-data-dir='"$work"'/profile",
            "--disable-background-networking","--disable-component-update"]}}}}' | tee "$work/started" | jq -r '.value.sessionId // empty')
    [ -n "$session" ] || { echo "Chromium does not start:"; cat "$work/started"; exit 1; }
}
# $1 the path below the session, $2 a file that holds the JSON body; the answer's value to standard output
ask() {
    curl -s --max-time 120 -X POST "$base/session/$session/$1" -d "@$2" | jq -c '.value | if type == "object" and has("error") then error(.message) else . end'
}
# $1 a command of the browser's own protocol, $2 its parameters
order() {
    jq -nc --arg cmd "$1" --argjson params "$2" '{$cmd,$params}' >"$work/body"
    ask goog/cdp/execute "$work/body"
}
logged() { # $1 browser or performance
    printf '{"type":"%s"}' "$1" >"$work/body"
    ask se/log "$work/body"
}

# ---- one look at a page ----

show() { # $1 file, $2 width in px, $3 light, dark or print
    media=screen scheme=$3
    [ "$3" != print ] || { media=print; scheme=light; }
    logged browser >/dev/null; logged performance >/dev/null
    order Emulation.setDeviceMetricsOverride '{"width":'"$2"',"height":800,"deviceScaleFactor":1,"mobile":true}' >/dev/null
    order Emulation.setEmulatedMedia '{"media":"'$media'","features":[{"name":"prefers-color-scheme","value":"'$scheme'"}]}' >/dev/null
    jq -nc --arg url "file://$1" '{$url}' >"$work/body" && ask url "$work/body" >/dev/null
}
# Complaints about the open page, one a line: the audit's, the console's, and what was fetched beside the page.
look() { # $1 its file
    jq -nc --rawfile script "$here/audit.js" '{$script,args:[]}' >"$work/body" && ask execute/sync "$work/body" | jq -r '.[]'
    logged browser | jq -r '.[] | "console: " + .message'
    logged performance | jq -r --arg page "file://$1" '.[].message | fromjson.message | select(.method == "Network.requestWillBeSent")
        | .params.request.url | select(startswith("data:") or startswith("chrome:") or . == $page | not) | "fetches " + .'
}
picture() { # $1 where to
    order Page.captureScreenshot '{"captureBeyondViewport":true}' | jq -r .data | base64 -d >"$1"
}
print_pdf() { # $1 where to
    order Page.printToPDF '{"preferCSSPageSize":true,"printBackground":true}' | jq -r .data | base64 -d >"$1"
}

# A browser repeats the head of a table that goes on over the page: the first line of a page then stood before, with gaps between columns.
broken_tables() { # $1 a PDF
    pdftotext -layout "$1" - | awk '
        { top = top || NR == 1 || sub(/^\f/, "") }
        !NF { next }
        { gsub(/^ +| +$/, ""); gsub(/   +/, " | ") }
        top && / \| / && ($0 in seen) { print "a table is broken over the page: " $0 }
        { seen[$0]; top = 0 }'
}

# ---- the audit is no rubber stamp ----

prove_audit() {
    cp "$here/bad.html" "$work/bad.html"
    { show "$work/bad.html" 360 light; look "$work/bad.html"; } 2>&1 | sed "s|file://$work|file://|" | LC_ALL=C sort >"$work/bad"
    if [ -n "${UPDATE:-}" ]; then cp "$work/bad" "$here/complaints.txt"; fi
    diff -u "$here/complaints.txt" "$work/bad" >"$work/complaints"
    verdict "the page that does everything wrong" "$work/complaints"
}

# ---- the pages ----

# 210 mm less two margins of 18 mm, at 96 px to the inch: what a sheet of A4 holds.
sheet_width=658
test_page() { # $1 file, $2 name, $3 words that the PDF must hold, then the ways to look
    file=$1; name=$2; words=$3; shift 3
    for way in "$@" "$sheet_width print"; do
        { show "$file" ${way% *} "${way#* }"; look "$file"; } >"$work/complaints" 2>&1
        verdict "$name $way" "$work/complaints"
        [ -z "$keep" ] || picture "$keep/$name-${way% *}-${way#* }.png"
    done
    print_pdf "$work/page.pdf"
    { pdftotext "$work/page.pdf" - | tr -s ' \n' ' ' | grep -qF "$words" || echo "'$words' is not in the PDF"
      sheets=$(pdfinfo "$work/page.pdf" | sed -n 's/^Pages: *//p')
      [ "${sheets:-0}" -ge 1 ] && [ "$sheets" -le 20 ] || echo "the PDF has '$sheets' pages"
      broken_tables "$work/page.pdf"; } >"$work/complaints" 2>&1
    verdict "$name printed" "$work/complaints"
    [ -z "$keep" ] || cp "$work/page.pdf" "$keep/$name.pdf"
}
# Runs the program and says when a page is missing; its exit may also be "the answer is no".
make_page() { # $1 the page's file, then the arguments
    page=$1; shift
    (cd "$root" && "$program" "$@" --quiet) >"$work/made" 2>&1
    [ -s "$page" ] || { cat "$work/made"; echo "browser: 0 passed, 1 failed"; exit 1; }
}

start_driver
start_browser
prove_audit
pages=${keep:-$work}
case $pages in /*) ;; *) pages=$PWD/$pages ;; esac
study=datasets/roof-terrace-pavers/study.ini
make_page "$pages/demo/report.html" report --study $study --output "$pages/demo"
test_page "$pages/demo/report.html" demo "Cast expanded clay" '360 light' '360 dark' '1000 light' '1000 dark'
make_page "$pages/none/report.html" report --study $study --target compressive_strength=60MPa --output "$pages/none"
test_page "$pages/none/report.html" none "No recipe" '360 light' '1000 dark'
make_page "$pages/us/report.html" report --study $study --units us --title "In pounds & inches" --output "$pages/us"
test_page "$pages/us/report.html" us "In pounds & inches" '360 dark' '1000 light'
make_page "$pages/sheet.html" batch --study $study --recommended --pieces 12 --mixer 60L --output "$pages/sheet.html"
test_page "$pages/sheet.html" sheet "Order of work" '360 light' '1000 light'
echo "browser: $passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
