# why.txt (a pattern, a tab, a reason), then sources as gcov annotates them:
# a table of coverage by file and folder, and what is left and why.
BEGIN { FS = "\t"; line_floor = 95; branch_floor = 85; no_test = "no test yet" }

FNR == NR { if ($0 !~ /^#/ && NF == 2) { n_reasons++; pattern[n_reasons] = $1; reason[n_reasons] = $2 }; next }

/^ *-: *0:Source:/ {
    file = $0
    sub(/.*0:Source:/, "", file)
    ours = file ~ /^src\/[a-z]+\/[a-z_]+\.c$/
    if (ours && !(file in lines)) { order[++n_files] = file; lines[file] = 0 }
    next
}
!ours { next }
/^branch / {
    branches[file]++
    if ($0 !~ /never executed/ && $0 !~ /taken 0( |$)/) taken[file]++
    next
}
/^ *[0-9]+\*?: *[0-9]+:/ { lines[file]++; run[file]++; next }
/^ *#####: *[0-9]+:/ {
    lines[file]++
    split($0, part, ":")
    text = $0
    sub(/^[^:]*:[^:]*: */, "", text)
    left[++n_left] = file ":" part[2] + 0 ": " text
    why[n_left] = reason_of(file ": " text)
}

function reason_of(text,    i) {
    for (i = 1; i <= n_reasons; i++)
        if (text ~ pattern[i]) return reason[i]
    return no_test
}
function per_cent(part, whole) { return whole ? sprintf("%.1f", 100 * part / whole) : "-" }
function row(name, l, r, b, t) {
    printf "%-42s %6d %7s %9d %8s\n", name, l, per_cent(r, l), b, per_cent(t, b)
}

END {
    printf "%-42s %6s %7s %9s %8s\n", "file", "lines", "run, %", "branches", "taken, %"
    for (i = 1; i <= n_files; i++) {
        file = order[i]
        row(file, lines[file], run[file], branches[file], taken[file])
        split(file, part, "/")
        f = part[2]
        if (!(f in l)) folder[++n_folders] = f
        l[f] += lines[file]; r[f] += run[file]; b[f] += branches[file]; t[f] += taken[file]
    }
    print "\nlines that no test runs"
    reason[++n_reasons] = no_test
    for (k = 1; k <= n_reasons; k++) {
        print "  " reason[k]
        for (i = 1; i <= n_left; i++)
            if (why[i] == reason[k]) { untested += k == n_reasons; print "    " left[i] }
    }
    print ""
    for (i = 1; i <= n_folders; i++) {
        f = folder[i]
        row(f "/", l[f], r[f], b[f], t[f])
        good = 100 * r[f] >= line_floor * l[f] && 100 * t[f] >= branch_floor * b[f]
        passed += good; failed += !good
    }
    printf "coverage, lines at least %d %%, branches at least %d %%; %d lines left, %d of them without a test yet: %d passed, %d failed\n",
        line_floor, branch_floor, n_left, untested, passed, failed
    exit failed > 0
}
