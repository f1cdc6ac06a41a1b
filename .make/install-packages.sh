#!/bin/sh
# Installs what building and testing need and is missing, through apt-get,
# and says so. Does nothing, and needs no network, when all is there.
# usage: install-packages.sh [check|torture|browser|package|crosscheck|bench]   ("check": what tests need as well; "torture": and
# what the long tests need; "browser": and what the test of the pages needs; "package": and what a Debian package is made and
# tried with; "crosscheck": and the other programs that the statistics are held against; "bench": and the R and Python that are
# raced against)
set -u
libraries='libc6-dev libgsl-dev r-mathlib libcsv-dev libjansson-dev libmd4c-dev libmd4c-html0-dev libinih-dev zlib1g-dev libcunit1-dev'

missing=
need_command() { command -v "$1" >/dev/null 2>&1 || missing="$missing $2"; }
need_command gcc gcc
need_command ar binutils
need_command pkg-config pkg-config
need_command gnuplot gnuplot-nox
need_command pmccabe pmccabe
need_command awk mawk
need_command find findutils
need_command diff diffutils
if [ -n "${1:-}" ]; then
    need_command units units
    need_command jq jq
    need_command groff groff-base
    [ -x /usr/bin/jsonschema ] || missing="$missing python3-jsonschema"
fi
if [ "${1:-}" = torture ]; then
    need_command clang clang
    need_command valgrind valgrind
    need_command xmllint libxml2-utils
    need_command clang-tidy clang-tidy
    need_command cppcheck cppcheck
    libraries="$libraries libclang-rt-dev"
fi
if [ "${1:-}" = crosscheck ]; then
    libraries="$libraries r-base-core r-cran-lme4 r-cran-lmertest r-cran-pbkrtest r-cran-multcomp r-cran-jsonlite python3-scipy"
fi
if [ "${1:-}" = bench ]; then
    need_command Rscript r-base-core
    libraries="$libraries r-cran-data.table r-cran-lme4 python3-pandas python3-statsmodels"
fi
if [ "${1:-}" = package ]; then
    need_command dh debhelper
    need_command dpkg-buildpackage dpkg-dev
    need_command lintian lintian
    need_command debootstrap debootstrap
fi
if [ "${1:-}" = browser ]; then
    need_command chromium chromium
    need_command chromedriver chromium-driver
    need_command curl curl
    need_command pdftotext poppler-utils
fi

if ! command -v apt-get >/dev/null 2>&1 || ! command -v dpkg-query >/dev/null 2>&1; then
    echo "this is no Debian system: install gcc, make, pkg-config, gnuplot, pmccabe, the GNU Scientific Library," >&2
    echo "R's standalone mathlib, libcsv, jansson, md4c, inih, zlib and CUnit by hand" >&2
    [ -z "$missing" ] || { echo "not found:$missing" >&2; exit 1; }
    exit 0
fi
for package in $libraries; do
    case $(dpkg-query -W -f='${db:Status-Abbrev}' "$package" 2>/dev/null) in
    ii*) ;;
    *) missing="$missing $package" ;;
    esac
done
[ -n "$missing" ] || exit 0

as_root=
if [ "$(id -u)" -ne 0 ]; then
    if ! command -v sudo >/dev/null 2>&1; then
        echo "these packages are missing; install them as root and come back:" >&2
        echo "  apt-get install -y --no-install-recommends$missing" >&2
        exit 1
    fi
    as_root=sudo
fi
install_missing() {
    $as_root env DEBIAN_FRONTEND=noninteractive apt-get -o DPkg::Lock::Timeout=300 install -y --no-install-recommends $missing
}
# A fresh system has no package lists yet.
known() {
    for package in $missing; do
        apt-cache show "$package" >/dev/null 2>&1 || return 1
    done
}
echo "installing with apt-get:$missing"
known || $as_root apt-get update
if ! install_missing; then
    echo "trying once more with fresh package lists"
    $as_root apt-get update && install_missing
fi
