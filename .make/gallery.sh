#!/bin/sh
# Draws the pictures of docs/gallery.md again.
# usage: gallery.sh PROGRAM
set -eu
program=$1
case $program in /*) ;; *) program=$PWD/$program ;; esac
cd "$(dirname "$0")/.."
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
"$program" chart --study datasets/roof-terrace-pavers/study.ini --format svg --output "$folder" --quiet >/dev/null
mkdir -p docs/gallery
rm -f docs/gallery/*.svg
cp "$folder"/*.svg docs/gallery
ls docs/gallery
