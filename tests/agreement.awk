# Sums up lines "part, case, quantity, digits, bar" (tabs between) to one row
# for each case and bar, with the quantity that agrees least, in order of
# first appearance: part, case, values, bar, digits, quantity. words is
# "part=words;..." for the parts that are called otherwise.
BEGIN {
    FS = OFS = "\t"
    n = split(words, pairs, ";")
    for (i = 1; i <= n; i++) { cut = index(pairs[i], "="); word[substr(pairs[i], 1, cut - 1)] = substr(pairs[i], cut + 1) }
}
{
    key = $1 FS $2 FS $5
    if (!(key in values)) { order[++rows] = key; least[key] = 99 }
    values[key]++
    if ($4 + 0 < least[key]) { least[key] = $4 + 0; weakest[key] = $3 }
}
END {
    for (i = 1; i <= rows; i++) {
        split(order[i], part, FS)
        printf "%s\t%s\t%d\t%.1f\t%.1f\t%s\n", (part[1] in word) ? word[part[1]] : part[1], part[2], values[order[i]], part[3],
            least[order[i]], weakest[order[i]]
    }
}
