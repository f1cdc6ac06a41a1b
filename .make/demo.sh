#!/bin/sh
# The main job on the demo study: the answer in a sentence, and where the report is.
# usage: demo.sh PROGRAM REPORT-FOLDER
study=datasets/roof-terrace-pavers/study.ini
echo "demo study: $study (invented data)"
echo
"$1" report --study "$study" --output "$2" --quiet
