#!/bin/sh
# The Debian package in a fresh Debian 12 of its own (debootstrap): it comes with what it needs, the tutorial and the
# README work with what it installed, and removing it leaves nothing. Needs root, and a network or a mirror.
# usage: tests/package/run.sh PACKAGE.deb
package=$(realpath "$1") || exit 2
root=$(cd "$(dirname "$0")/../.." && pwd) || exit 2
[ "$(id -u)" -eq 0 ] || { echo "a chroot needs root" >&2; exit 2; }
work=$(mktemp -d) || exit 2
debian=$work/debian
trap 'umount "$debian/proc" 2>/dev/null; rm -rf "$work"' EXIT
passed=0; failed=0
verdict() { # $1 what, $2 what is wrong, or ""
    if [ -z "$2" ]; then passed=$((passed + 1)); else failed=$((failed + 1)); echo "FAILED: $1:"; echo "$2" | tail -n 15; fi
}
inside() { chroot "$debian" env DEBIAN_FRONTEND=noninteractive LC_ALL=C.UTF-8 "$@"; }
# Says what went wrong when the command fails.
trying() { "$@" >"$work/log" 2>&1 || cat "$work/log"; }

wrong=$(trying lintian --fail-on error,warning "$package")
verdict "lintian" "$wrong"

mirror=$(grep -rhoE 'https?://[^ ]*/debian/? ' /etc/apt/sources.list /etc/apt/sources.list.d 2>/dev/null | grep -v security | head -n 1)
trying debootstrap --variant=minbase bookworm "$debian" "${mirror:-http://deb.debian.org/debian}" >"$work/wrong"
[ ! -s "$work/wrong" ] || { cat "$work/wrong"; exit 1; }
cp -L /etc/resolv.conf "$debian/etc/resolv.conf" 2>/dev/null
cp -R /etc/apt/apt.conf.d/. "$debian/etc/apt/apt.conf.d/" 2>/dev/null
mount -t proc proc "$debian/proc"
cp "$package" "$debian/plumestone.deb"
verdict "installs with what it needs" "$(trying inside sh -c 'apt-get update && apt-get install -y /plumestone.deb')"
verdict "lacks no library" "$(inside ldd /usr/bin/plumestone | grep 'not found')"
verdict "says its version" "$(trying inside sh -c 'test "$(plumestone --version)" = "plumestone $(dpkg-query -W -f "\${Version}" plumestone)"')"
for file in man/man1/plumestone.1.gz bash-completion/completions/plumestone zsh/vendor-completions/_plumestone \
    fish/vendor_completions.d/plumestone.fish doc/plumestone/docs/tutorial.md doc/plumestone/copyright; do
    verdict "has $file" "$([ -s "$debian/usr/share/$file" ] || echo 'it is not there')"
done

# The examples run as an ordinary user, with the installed program, pages and data.
mkdir -p "$debian/project/tests"
cp "$root/tests/run-docs.sh" "$debian/project/tests"; cp "$root/tests/docs-examples.awk" "$debian/project/tests"
ln -s /usr/share/doc/plumestone/docs /usr/share/doc/plumestone/datasets /usr/share/doc/plumestone/README.md "$debian/project"
for page in docs/tutorial.md README.md; do
    verdict "$page as an ordinary user" "$(trying inside setpriv --reuid=65534 --regid=65534 --clear-groups \
        sh -c "cd /project && sh tests/run-docs.sh /usr/bin/plumestone $page")"
done

verdict "goes" "$(trying inside apt-get purge -y plumestone)"
verdict "leaves nothing" "$(find "$debian/usr" "$debian/etc" -name '*plumestone*')"
echo "package: $passed passed, $failed failed"
[ "$failed" -eq 0 ]
