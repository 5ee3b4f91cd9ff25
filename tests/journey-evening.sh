#!/usr/bin/env bash
# The evening, driven from outside: the day's set stands in the car, a mode is made firmer, the modes and the set stand side
# by side with the sentence a mode and the steps between them, and a report of it all is written by one key.
#
#   xvfb-run -a -s "-screen 0 1280x800x24 -noreset" tests/journey-evening.sh [PROGRAM] [FOLDER FOR PICTURES]
set -u -o pipefail
top=$(cd "$(dirname "$0")/.." && pwd)
program=$(realpath "${1:-$top/target/release/washboard}")
pictures=${2:-}
# shellcheck source=tests/drive.sh
source "$top/tests/drive.sh"

# --------------------------------------------------------------------------------------------------------------------
step "the day's set is in the car"
cp "$top/demo-sessions/estate.ron" "$top/demo-sessions/dip.csv" "$work/sets"
start estate.ron
await 180 'board revision 0 fresh' > /dev/null || fail "no results of the session"
hand_over
short=$(echo "$identity" | cut -c1-4 | tr '[:lower:]' '[:upper:]')

step "the firm mode is made firmer in roll"
xdotool key alt+3
sleep 0.6
xdotool key 3
sleep 0.4
click "$(names | grep -E "^roll map" | head -n 1)"
cell=$(names | grep -E '^roll, 80 km/h, lateral' | sort | head -n 1)
[ -n "$cell" ] || fail "no cell of the roll map"
click "$cell"
mark=$(lines)
xdotool type --delay 40 "+10%"
sleep 0.2
xdotool key Return
await 10 ' edit ' "$mark" > /dev/null || fail "the edit did not arrive"
await 180 'board revision [1-9][0-9]* fresh' "$mark" > /dev/null || fail "no results of the edit"

step "modes and the set side by side"
mark=$(lines)
xdotool key alt+4
sleep 0.8
click "column firm · $short"
await 300 "columns .*\"firm · $short\"" "$mark" > /dev/null || fail "the set does not stand beside the modes"
sleep 0.6
picture 1-side-by-side
for sheet in "steps between columns" curves "map difference"; do
    click "Side by side: $sheet"
    sleep 0.6
    picture "2-${sheet// /-}"
done
click "Side by side: scorecard"

step "one key, and the report is a file"
mark=$(lines)
xdotool key ctrl+p
await 10 'dialog Write a report' "$mark" > /dev/null || fail "no dialog for the report"
sleep 0.8
picture 3-report
click "Save"
line=$(await 300 ' (report|notice No report) ' "$mark") || fail "no report was written"
file=${line#* report }
[ -s "$file" ] || fail "the report is no file: $line"
pdftotext "$file" "$work/report.txt" || fail "the report cannot be read"
for word in "Alder estate" "$short" "Simulation does not replace measurement" "firm" "page 1 of"; do
    grep -q "$word" "$work/report.txt" || fail "the report does not say \"$word\""
done
picture 4-written

step "saved and left"
mark=$(lines)
xdotool key ctrl+s
line=$(await 20 ' saved ' "$mark") || fail "nothing was saved"
"$program" check "${line#* saved }" || fail "what was saved does not pass the check"
xdotool key ctrl+q
ended
step "done: compared, and a report of $(stat -c %s "$file") bytes"
