#!/usr/bin/env bash
# A morning with the window, driven from outside: open the demo, pull a handle, see the curves move, undo, hand a set
# over, prove it from the command line, lose the program in the middle of an edit and get the work back.
#
#   xvfb-run -a -s "-screen 0 1600x1000x24 -noreset" tests/journey.sh [PROGRAM] [FOLDER FOR PICTURES]
#
# Needs xdotool and ImageMagick. Controls are found by name in the journal that the program keeps for this purpose.
set -u -o pipefail
top=$(cd "$(dirname "$0")/.." && pwd)
program=$(realpath "${1:-$top/target/release/washboard}")
pictures=${2:-}
# shellcheck source=tests/drive.sh
source "$top/tests/drive.sh"

# --------------------------------------------------------------------------------------------------------------------
step "the demo opens and is computed"
start
await 120 'board revision 0 fresh' > /dev/null || fail "no results of the demo"
sleep 1
picture 1-opened
before=$(comfort)
[ -n "$before" ] || fail "no comfort figures"

step "an idle window draws nothing"
sleep 2
mark=$(lines)
sleep 4
drawn=$(tail -n +$((mark + 1)) "$journal" | grep -c -E '^[0-9]+ frame ')
[ "$drawn" -le 1 ] || fail "$drawn frames in four seconds in which nothing happened"

step "a handle is pulled and the curves follow while it is held"
handle=$(names | grep -E '^handle over speed: heave, 80 km/h, ' | sort | head -n 1)
[ -n "$handle" ] || fail "no handle to pull"
at=$(middle "$handle") || fail "no place of the handle"
read -r x y <<< "$at"
xdotool mousemove "$x" "$y"
sleep 0.4
mark=$(lines)
xdotool mousedown 1
sleep 0.4
for i in 1 2 3 4 5 6 7 8; do
    xdotool mousemove "$x" $((y - i * 10))
    sleep 0.1
done
await 10 ' edit ' "$mark" > /dev/null || fail "pulling edited nothing"
await 60 'board revision [1-9][0-9]* (first|fresh|stale)' "$mark" > /dev/null || fail "nothing was computed during the pull"
xdotool mouseup 1
line=$(await 10 'gesture over revision' "$mark") || fail "the pull did not end"
revision=${line##* }
await 60 "board revision $revision fresh" "$mark" > /dev/null || fail "no fresh results after the pull"
await 10 ' pace ms ' "$mark" > /dev/null || fail "no time from an edit to the screen was noted"
sleep 1
picture 2-pulled
pulled=$(comfort)
[ "$pulled" != "$before" ] || fail "comfort did not change with the gain"
# The two plots of the response stand in the upper right of the window.
differs=$(moved 1-opened 2-pulled 860x300+730+60)
[ "$differs" -gt 200 ] || fail "only $differs pixels of the response moved"

step "undo takes the whole pull back"
mark=$(lines)
xdotool key ctrl+z
await 10 ' undo ' "$mark" > /dev/null || fail "undo did nothing"
await 60 'board revision [0-9]+ fresh' "$mark" > /dev/null || fail "no results after undo"
[ "$(comfort)" = "$before" ] || fail "undo gave other figures: $(comfort) instead of $before"

step "a set is handed over"
click "Hand over"
sleep 0.5
picture 3-hand-over
click "Choose the folder"
await 10 'dialog Folder for the set' > /dev/null || fail "no dialog for the folder"
sleep 0.5
picture 4-dialog
click "Choose this folder"
await 10 'dialog chose ' > /dev/null || fail "no folder was chosen"
click "I have read this and take it into account."
ready "$mark"
click "Hand over to the car"
line=$(await 60 ' handed over ') || fail "nothing was handed over"
read -r _ _ _ identity folder <<< "$line"
sleep 1
picture 5-handed-over
"$program" verify "$folder" > "$work/verdict" || fail "the set does not verify: $(cat "$work/verdict")"
grep -q "$identity" "$work/verdict" || fail "verify names another identity than the window"

step "the program dies in the middle of work, and the work comes back"
sleep 3
kill -9 "$pid"
wait "$pid" 2>/dev/null
start
await 30 'question recovery' > /dev/null || fail "no work was offered after the crash"
sleep 0.5
picture 6-recovered
click "Restore it"
await 10 'answer Restore' > /dev/null || fail "the answer did not arrive"
await 120 'board revision [0-9]+ fresh' > /dev/null || fail "no results of the recovered work"

step "leaving asks about the unsaved work, saves it, and the file holds the set that was handed over"
xdotool key ctrl+q
await 10 'question unsaved changes' > /dev/null || fail "leaving did not ask"
sleep 0.5
picture 7-question
click "Save"
await 10 'dialog Save session' > /dev/null || fail "no dialog for the file"
sleep 0.5
click "Save"
line=$(await 20 ' saved ') || fail "nothing was saved"
file=${line#* saved }
ended
"$program" check "$file" || fail "the saved session is not valid"
grep -q "$identity" "$file" || fail "the saved session does not name the set"
"$program" verify "$folder" --against "$file" > "$work/verdict" || fail "the set differs from the session: $(cat "$work/verdict")"

echo "journey: all is well; set $identity"
