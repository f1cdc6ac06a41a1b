# Fails on an include that goes against src/layers.txt.
# usage: awk -f tests/structure/layers.awk src/layers.txt FILE...
FNR == NR {
    split($0, line, ":")
    n = split(line[2], allowed, " ")
    known[line[1]]
    may[line[1], line[1]]
    for (i = 1; i <= n; i++)
        may[line[1], allowed[i]]
    next
}
FNR == 1 {
    k = split(FILENAME, part, "/")
    from = part[k - 1]
}
match($0, /^[ \t]*#[ \t]*include[ \t]*"[a-z_]+\//) {
    to = substr($0, RSTART, RLENGTH - 1)
    sub(/.*"/, "", to)
    if ((from in known) && (to in known) && !((from, to) in may)) {
        print FILENAME ":" FNR ": " from " may not include " to
        bad = 1
    }
}
END { exit bad }
