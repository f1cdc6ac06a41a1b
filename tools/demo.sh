#!/bin/sh
# The main job on the demo study: the answer, and where the report is.
# usage: demo.sh PROGRAM REPORT-FOLDER
study=datasets/roof-terrace-pavers/study.ini
"$1" report --study "$study" --output "$2" --quiet >/dev/null || exit 1
echo "demo study: $study (invented data)"
echo
"$1" recommend --study "$study" --quiet | head -n 1
echo
echo "the whole report: $2/report.html (text: $2/report.md, charts: $2/charts/)"
