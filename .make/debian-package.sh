#!/bin/sh
# Builds the Debian package in a copy of the project, so that no debian/ folder is needed at its top.
# usage: debian-package.sh FOLDER VERSION   (the package lands in FOLDER)
set -eu
unset MAKEFLAGS MFLAGS BUILD PREFIX DESTDIR # told to the make above, not for the copy, whose build begins with a clean
folder=$1; version=$2
cd "$(dirname "$0")/.."
told=$(sed -n '1s/.*(\(.*\)).*/\1/p' .make/debian/changelog)
[ "$told" = "$version" ] || { echo ".make/debian/changelog speaks of $told, the Makefile of $version" >&2; exit 1; }
rm -rf "$folder" && mkdir -p "$folder/plumestone-$version"
cp -R README.md DEVELOPERS.md LICENSE Makefile src include tests datasets plots docs .make "$folder/plumestone-$version"
cd "$folder/plumestone-$version"
cp -R .make/debian debian
# An ordinary build, without the debugging package and with the name of no one as its signature.
DEB_BUILD_OPTIONS="${DEB_BUILD_OPTIONS:-} noautodbgsym parallel=2" dpkg-buildpackage -b -us -uc >../build.log 2>&1 ||
    { tail -n 40 ../build.log >&2; exit 1; }
cd .. && rm -rf "plumestone-$version"
ls "$PWD"/*.deb
