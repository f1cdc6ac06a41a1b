#!/bin/sh
# What people expect of any command-line program: help in every form and examples that run, a manual page and completions
# that know what help knows, pipes, exit codes, no colour and no progress where nobody looks, install and uninstall.
# usage: tests/habits/run.sh PROGRAM BUILD
program=$1; build=$2
case $program in /*) ;; *) program=$PWD/$program ;; esac
[ -x "$program" ] || { echo "$program: not built" >&2; exit 2; }
root=$(cd "$(dirname "$0")/../.." && pwd) || exit 2
work=$(mktemp -d) || exit 2
trap 'rm -rf "$work"' EXIT
passed=0; failed=0
verdict() { # $1 what, $2 what is wrong, or ""
    if [ -z "$2" ]; then passed=$((passed + 1)); else failed=$((failed + 1)); echo "FAILED: $1:"; echo "$2" | head -n 12; fi
}
mkdir "$work/place" && ln -s "$root/datasets" "$work/place/datasets" && cd "$work/place" && mkdir build || exit 2
PATH=$(dirname "$program"):$PATH
specimens=datasets/roof-terrace-pavers/specimens.csv
commands=$(plumestone help | sed -n 's/^  \([a-z][a-z]*\) .*/\1/p')

# ---- help ----

plumestone help >"$work/overview"
for form in -h --help; do
    verdict "plumestone $form" "$(plumestone $form 2>&1 | diff "$work/overview" -)"
done
for command in $commands; do
    plumestone help "$command" >"$work/help"
    for form in "$command --help" "$command -h" "$command $specimens --help"; do
        # shellcheck disable=SC2086
        verdict "plumestone $form" "$(plumestone $form 2>&1 | diff "$work/help" -)"
    done
    example=$(sed -n '/^Example$/{n;s/^ *//p;}' "$work/help")
    sh -c "$example" >"$work/out" 2>"$work/err" </dev/null
    code=$?
    # `check` says "no" with 1 when it finds something to mend; the demo study has only doubts.
    verdict "the example of $command" "$([ "$code" -eq 0 ] && [ -s "$work/out" ] || { echo "exit $code"; cat "$work/err"; })"
done
verdict "a misspelt command" "$(plumestone recomend 2>&1 | grep -q "did you mean 'recommend'" || echo 'no suggestion')"
verdict "recommend help" "$(plumestone help recommend >"$work/help"; plumestone recommend help 2>&1 | diff "$work/help" -)"

# ---- manual page and completions know the options that help knows ----

plumestone help --man >"$work/man"
for shell in bash zsh fish; do plumestone help --completion "$shell" >"$work/$shell"; done
verdict "manual page as groff reads it" "$(groff -man -ww -z -Tutf8 "$work/man" 2>&1)"
verdict "bash reads its completion" "$(bash -n "$work/bash" 2>&1)"
# What bash offers for a line of words, the last of them being typed.
offered() {
    bash -c '. "$1"; shift; COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); _plumestone; printf "%s\n" "${COMPREPLY[@]}"' bash "$work/bash" "$@"
}
echo "$commands" | sort >"$work/commands"
verdict "bash offers the commands" "$(offered plumestone '' | sort | diff "$work/commands" -)"
for command in $commands; do
    plumestone help "$command" | sed -n 's/^  \(--[a-z-]*\).*/\1/p' | sort >"$work/options"
    verdict "bash offers the options of $command" "$(offered plumestone "$command" -- | sort | diff "$work/options" -)"
    verdict "the manual page has the options of $command" "$(awk -v section=".SH $command" '
        /^\.SH/ { inside = $0 == section } inside' "$work/man" | sed 's/\\-/-/g' |
        grep -o '\\fB--[a-z-]*' | cut -c 4- | sort | diff "$work/options" -)"
    verdict "zsh knows the options of $command" "$(while read -r option; do
        grep -qF -e "$option" "$work/zsh" || echo "$option"; done <"$work/options")"
    verdict "fish knows the options of $command" "$(while read -r option; do
        grep -F "__fish_seen_subcommand_from $command" "$work/fish" | grep -qF -e "-l ${option#--}" || echo "$option"; done <"$work/options")"
done
verdict "bash offers words" "$([ "$(offered plumestone recommend --seek l)" = lightest ] || offered plumestone recommend --seek l)"

# ---- every word has its origin told ----

grep -o '`[^`]*`' "$root/docs/words.md" | tr -d '`' | sort -u >"$work/told"
for command in $commands; do echo "$command"; plumestone help "$command" | sed -n 's/^  \(--[a-z-]*\) .*/\1/p'; done >"$work/words"
plumestone help columns | sed -n 's/^  \([a-z_]*\)  .*/\1/p' >>"$work/words"
verdict "docs/words.md tells of every command, option and column" "$(sort -u "$work/words" | comm -23 - "$work/told")"

# The example of chart has drawn into build/charts.
verdict "docs/gallery.md shows every chart of the demo study" "$(for script in build/charts/*.gp; do
    name=gallery/$(basename "$script" .gp).svg
    [ -s "$root/docs/$name" ] && grep -qF "($name)" "$root/docs/gallery.md" || echo "$name"; done)"

# ---- pipes, codes, colour, progress ----

plumestone results "$specimens" >"$work/out" 2>/dev/null
verdict "- reads standard input" "$(plumestone results - <"$root/$specimens" 2>/dev/null | diff "$work/out" -)"
verdict "a reader that goes away" "$({ plumestone results "$specimens" 2>"$work/err"; echo $? >"$work/code"; } | head -n 1 >/dev/null
    [ "$(cat "$work/code")" = 4 ] || [ "$(cat "$work/code")" = 0 ] || echo "exit $(cat "$work/code")"; grep -v '^doubtful\|note:' "$work/err")"
code_of() { plumestone "$@" >/dev/null 2>&1; echo $?; }
codes="$(code_of recommend --target compressive_strength=12MPa "$specimens") $(code_of recommend --target compressive_strength=90MPa "$specimens")"
codes="$codes $(code_of recommend --targt x) $(code_of results nothing.csv) $(plumestone help >/dev/full 2>/dev/null; echo $?)"
verdict "exit codes 0 to 4" "$([ "$codes" = '0 1 2 3 4' ] || echo "$codes")"
# script(1) gives the program a terminal to look at.
on_terminal() { script -qec "$1" /dev/null </dev/null; }
verdict "no control characters with NO_COLOR at a terminal" "$(NO_COLOR=1 TERM=xterm-256color on_terminal \
    "plumestone recommend --target compressive_strength=12MPa $specimens" | tr -d '\r\n' | LC_ALL=C grep '[[:cntrl:]]' | cat -v)"
verdict "nothing but problems on standard error away from a terminal" "$(plumestone recommend --target compressive_strength=12MPa \
    "$specimens" 2>&1 >/dev/null | grep -v '^doubtful: \|^plumestone: note: ')"

# ---- install, uninstall ----

cd "$root" || exit 2
quiet_make() { make --no-print-directory --silent "BUILD=$build" "DESTDIR=$work/installed" PREFIX=/opt/tools "$@" >"$work/log" 2>&1 || cat "$work/log"; }
verdict "make install" "$(quiet_make install)"
installed=$work/installed/opt/tools
for file in bin/plumestone share/man/man1/plumestone.1 share/bash-completion/completions/plumestone share/zsh/site-functions/_plumestone \
    share/fish/vendor_completions.d/plumestone.fish share/doc/plumestone/README.md share/doc/plumestone/docs/tutorial.md; do
    verdict "installed $file" "$([ -s "$installed/$file" ] && [ -r "$installed/$file" ] || echo 'it is not there')"
done
verdict "nothing outside PREFIX" "$(find "$work/installed" -type f | grep -v '/installed/opt/tools/')"
verdict "links of the installed pages" "$(cd "$installed/share/doc/plumestone" && find . -name '*.md' | while read -r page; do
    grep -o '](\([^)#]*\)' "$page" | cut -c 3- | grep -v '^https\?:\|^$' | while read -r target; do
        [ -e "$(dirname "$page")/$target" ] || echo "$page: $target"; done; done)"
verdict "make uninstall" "$(quiet_make uninstall; find "$work/installed" -type f)"
echo "habits: $passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
