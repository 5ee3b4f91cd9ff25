#!/usr/bin/env bash
# A five-minute stop at the proving ground, driven from outside: the driver's verdict into the logbook by keyboard, three
# edits in a map, the edited mode beside the set in the car, the next set handed over, the next run written down with the
# logger's file, a look back at how the session was at the first set; all of it saved, checked and verified.
#
#   xvfb-run -a -s "-screen 0 1280x800x24 -noreset" tests/journey-stop.sh [PROGRAM] [FOLDER FOR PICTURES]
set -u -o pipefail
top=$(cd "$(dirname "$0")/.." && pwd)
program=$(realpath "${1:-$top/target/release/washboard}")
pictures=${2:-}
# shellcheck source=tests/drive.sh
source "$top/tests/drive.sh"

# Types a text, then presses Enter.
enter() {
    [ -n "$1" ] && xdotool type --delay 40 "$1"
    sleep 0.2
    xdotool key Return
    sleep 0.3
}

# --------------------------------------------------------------------------------------------------------------------
step "the morning's session, and the first set goes into the car"
cp "$top/demo-sessions/estate.ron" "$top/demo-sessions/dip.csv" "$work/sets"
printf 'time_s,seat_z_m_per_s2\n0,0\n0.01,0.1\n' > "$work/sets/run-1.csv"
start estate.ron
await 120 'board revision 0 fresh' > /dev/null || fail "no results of the session"
hand_over
first=$identity first_folder=$folder
picture 1-first-set

step "the driver's verdict, with the keyboard alone"
mark=$(lines)
xdotool key alt+5
sleep 0.6
picture 2-empty-logbook
xdotool key n
sleep 0.6
enter 4.5
enter 6
enter ""
enter 5
picture 3-verdict
enter "floats over the crest at 90"
await 10 ' edit add a run' "$mark" > /dev/null || fail "the run was not written down"

step "three edits in the heave map"
xdotool key alt+3
sleep 0.6
xdotool key 2
sleep 0.4
cell=$(names | grep -E '^heave, 80 km/h, roughness ' | sort | head -n 1)
[ -n "$cell" ] || fail "no cell of the heave map"
click "$cell"
mark=$(lines)
for typed in "+5%" "*1.1" "2400"; do
    enter "$typed"
    xdotool key Right
    sleep 0.3
done
xdotool key Escape Escape
edits=$(tail -n +$((mark + 1)) "$journal" | grep -c -E ' edit change ')
[ "$edits" -ge 3 ] || fail "only $edits of three edits arrived"
line=$(grep -E ' gesture over revision' "$journal" | tail -n 1)
await 120 "board revision ${line##* } fresh" "$mark" > /dev/null || fail "no fresh results after the edits"
picture 4-three-edits

step "the edited mode beside the set in the car"
xdotool key alt+4
sleep 0.8
short=$(echo "$first" | cut -c1-4 | tr '[:lower:]' '[:upper:]')
mark=$(lines)
click "column everyday · $short"
await 180 "columns .*\"everyday\".*\"everyday · $short\"" "$mark" > /dev/null || fail "the set does not stand beside the modes"
sleep 0.6
picture 5-side-by-side
click "compare with everyday · $short"
click "Side by side: map difference"
sleep 0.6
picture 6-map-difference

step "the next set is handed over"
hand_over
second=$identity second_folder=$folder
[ "$second" != "$first" ] || fail "the edited set has the identity of the first"
picture 7-second-set

step "the next run, with the logger's file"
mark=$(lines)
xdotool key alt+5
sleep 0.6
xdotool key n
sleep 0.6
enter 7
enter 6.5
enter ""
enter 6
enter "calm over the crest, busier on the patched road"
await 10 ' edit add a run' "$mark" > /dev/null || fail "the second run was not written down"
xdotool key l
await 10 'dialog Log file of the run' "$mark" > /dev/null || fail "no dialog for the log file"
sleep 0.8
file=$(names | grep -E 'run-1\.csv$' | head -n 1)
[ -n "$file" ] || fail "the log file is not listed"
click "$file"
click "Open"
await 10 ' edit change a run' "$mark" > /dev/null || fail "the log file was not attached"
sleep 0.5
picture 8-logbook

step "a look back: the session as it was at the first run, and back again"
mark=$(lines)
xdotool key Down
sleep 0.3
xdotool key o
await 20 'opened .*as it was at set' "$mark" > /dev/null || fail "the first run was not reopened"
sleep 1
picture 9-reopened
xdotool key alt+Left
await 20 'back from the copy' "$mark" > /dev/null || fail "no way back from the copy"
sleep 0.6

step "saved, checked, verified"
mark=$(lines)
xdotool key ctrl+s
line=$(await 20 ' saved ' "$mark") || fail "nothing was saved"
file=${line#* saved }

step "under another name, and over that file only when asked"
mark=$(lines)
xdotool key ctrl+shift+s
await 10 'dialog Save session' "$mark" > /dev/null || fail "no dialog for the file"
sleep 0.8
click "Save"
line=$(await 20 ' saved ' "$mark") || fail "nothing was saved under another name"
file=${line#* saved }
before=$(sha256sum < "$file")
for answer in "Choose another name" "Replace it"; do
    mark=$(lines)
    if [ "$answer" = "Choose another name" ]; then
        xdotool key ctrl+shift+s
        await 10 'dialog Save session' "$mark" > /dev/null || fail "no dialog for the file"
        sleep 0.8
    fi
    click "Save"
    sleep 0.5
    names | grep -q "^Replace it" || fail "a file was to be written over without a question"
    picture "10-question-${answer%% *}"
    click "$answer"
    sleep 0.8
done
await 20 ' saved ' "$mark" > /dev/null || fail "nothing was saved over the file"
[ "$(sha256sum < "$file")" = "$before" ] || fail "the same work makes another file"
xdotool key ctrl+q
ended
"$program" check "$file" || fail "the saved session is not valid"
for word in "floats over the crest at 90" "log_file: \"run-1.csv\"" "$first" "$second"; do
    grep -q "$word" "$file" || fail "the saved session does not hold: $word"
done
"$program" verify "$first_folder" > "$work/verdict" || fail "the first set does not verify: $(cat "$work/verdict")"
"$program" verify "$second_folder" --against "$file" > "$work/verdict" \
    || fail "the second set differs from the session: $(cat "$work/verdict")"

echo "journey: all is well; sets $first and $second"
