# Two JSON answers: the same text, and numbers that agree to 9 digits (the rows were read in another order, and sums round).
function words(line) { gsub(/-?[0-9]+(\.[0-9]+)?([eE][-+]?[0-9]+)?/, "#", line); return line }
FNR == NR { want[FNR] = $0; n = FNR; next }
{
    if (words($0) != words(want[FNR])) { print "line " FNR ": " want[FNR] " | " $0; bad = 1 }
    if (!match($0, /-?[0-9]+\.[0-9]+([eE][-+]?[0-9]+)?,?$/)) next
    a = substr($0, RSTART) + 0
    match(want[FNR], /-?[0-9]+\.[0-9]+([eE][-+]?[0-9]+)?,?$/); b = substr(want[FNR], RSTART) + 0
    if ((a - b) ^ 2 > (1e-9 * b) ^ 2 + 1e-24) { print "line " FNR ": " want[FNR] " | " $0; bad = 1 }
}
END { exit bad || FNR != n }
