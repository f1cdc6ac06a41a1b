# Shows rows of agreement.awk as a table, marks the bars that are missed (the
# bar is printed to one decimal, hence 0.05), and fails when any is.
BEGIN { FS = "\t"; wide[1] = 4; wide[2] = 4 }
{
    for (i = 1; i <= 2; i++) if (length($i) > wide[i]) wide[i] = length($i)
    row[NR] = $0
    sum += $3
}
END {
    format = "%-" wide[1] "s  %-" wide[2] "s  %6s  %5s  %6s  %s\n"
    printf format, "part", "case", "values", "bar", "digits", "the value that agrees least"
    for (i = 1; i <= NR; i++) {
        split(row[i], p, FS)
        miss = p[5] < p[4] - 0.05
        missed += miss
        printf format, p[1], p[2], p[3], p[4], p[5], p[6] (miss ? "  MISSED" : "")
    }
    printf "%d values in %d rows\n", sum, NR
    exit missed > 0 || NR == 0
}
