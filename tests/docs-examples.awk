# The examples of a Markdown file: in a block that begins ```console, a line
# "$ command" (continued by a backslash, a pipe, or <<'END' up to a line END) and what it shows, up to the next.
# mode=take  writes NNN.command and NNN.shown into the folder `work`
# mode=put   prints the file again with NNN.got in the place of what was shown,
#            but for examples that leave something out with a line "..."
function start(line) {
    n++
    stem = sprintf("%s/%03d", work, n)
    sub(/^\$ /, "", line)
    if (mode == "take") {
        print line > (stem ".command")
        printf "" > (stem ".shown")
    }
    here = line ~ /<<'END'/
    continued = goes_on(line)
    replaced = 0
    if (mode == "put" && !continued)
        replaced = put()
}
function goes_on(line) {
    return here ? line != "END" : line ~ /[\\|]$/
}
function put(   line, shortened) {
    while ((getline line < (stem ".shown")) > 0)
        shortened = shortened || line == "..."
    close(stem ".shown")
    if (shortened)
        return 0
    pending = stem ".got"
    return 1
}
function flush_pending(   line) {
    if (pending == "")
        return
    while ((getline line < pending) > 0)
        print line
    close(pending)
    pending = ""
}
/^```/ {
    flush_pending()
    inside = inside ? 0 : $0 == "```console"
    stem = ""
    if (mode == "put") print
    next
}
inside && /^\$ / {
    flush_pending()
    if (mode == "put") print
    start($0)
    next
}
inside && stem != "" && continued {
    if (mode == "take") print > (stem ".command")
    else print
    continued = goes_on($0)
    if (mode == "put" && !continued) replaced = put()
    next
}
inside && stem != "" {
    if (mode == "take") print > (stem ".shown")
    else if (!replaced) print
    next
}
mode == "put" { print }
