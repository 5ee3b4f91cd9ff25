#!/usr/bin/env bash
# From the complaint to the lever and to the car, driven from outside: what the driver said of the last run leads to the
# cells that move it, the best step is taken by one key, taken back and taken again, does what it was said to do, and goes
# into the car. Then a whole stop between two runs by a practised hand, from the verdict to the next set in the car: clicks
# and keys beyond what is typed are counted and held to twelve, the time to a minute (WASHBOARD_STOP_S on slow machines).
#
#   xvfb-run -a -s "-screen 0 1280x800x24 -noreset" tests/journey-lever.sh [PROGRAM] [FOLDER FOR PICTURES]
set -u -o pipefail
top=$(cd "$(dirname "$0")/.." && pwd)
program=$(realpath "${1:-$top/target/release/washboard}")
pictures=${2:-}
# shellcheck source=tests/drive.sh
source "$top/tests/drive.sh"

# --------------------------------------------------------------------------------------------------------------------
step "a session whose last run says that the car floats"
cp "$top/demo-sessions/estate.ron" "$top/demo-sessions/dip.csv" "$work/sets"
sed -i '$ d' "$work/sets/estate.ron"
cat >> "$work/sets/estate.ron" <<'RUN'
  logbook: [(time: "2026-11-25T14:05:00Z", set_identity: "", mode: "everyday", event: "crest", load_case: "as described",
    verdicts: [(attribute: "body control", rating: 6.5)], remark: "floats over the crest at 90, otherwise good")],
)
RUN
start estate.ron
await 180 'board revision 0 fresh' > /dev/null || fail "no results of the session"
before=$(comfort)

step "one click leads to the cells that move it"
mark=$(lines)
click "→ Floats over the crest"
await 300 'levers revision 0' "$mark" > /dev/null || fail "no levers were found"
sleep 1
picture 1-levers
said=$(names | grep -E '^suggestion: ' | head -n 1)
[ -n "$said" ] || fail "no step is suggested"

step "one key takes the best step, undo takes it back"
mark=$(lines)
xdotool key ctrl+Return
await 10 ' edit .* revision 1' "$mark" > /dev/null || fail "the step was not taken"
await 120 'board revision 1 fresh' "$mark" > /dev/null || fail "no results of the step"
await 300 'levers revision 1' "$mark" > /dev/null || fail "no levers after the step"
sleep 1
picture 2-taken
[ "$(comfort)" != "$before" ] || fail "the step changed nothing"
mark=$(lines)
xdotool key ctrl+z
await 10 ' undo step for ' "$mark" > /dev/null || fail "undo did nothing"
await 60 'board revision [0-9]+ fresh' "$mark" > /dev/null || fail "no results after undo"
[ "$(comfort)" = "$before" ] || fail "undo gave other figures"
mark=$(lines)
xdotool key ctrl+y
await 60 'board revision [0-9]+ fresh' "$mark" > /dev/null || fail "no results after redo"

step "and into the car"
hand_over
picture 3-handed-over
first=$identity

step "a stop between two runs, by a practised hand"
begin_stop
mark=$(lines)
xdotool key alt+5
sleep 0.6
xdotool key n
sleep 0.6
xdotool type --delay 40 "5"
sleep 0.3
# Past the other three attributes, on which the driver said nothing.
xdotool key --delay 150 Return Return Return Return
sleep 0.3
xdotool type --delay 40 "floats over the crest, otherwise good"
sleep 0.3
xdotool key Return
await 20 ' edit add a run' "$mark" > /dev/null || fail "the run was not written down"
mark=$(lines)
xdotool key alt+3
sleep 0.6
click "→ Floats over the crest"
await 300 'levers revision' "$mark" > /dev/null || fail "no levers were found"
mark=$(lines)
xdotool key ctrl+Return
await 20 ' edit .* revision' "$mark" > /dev/null || fail "the step was not taken"
await 120 'board revision [0-9]+ fresh' "$mark" > /dev/null || fail "no results of the step"
mark=$(lines)
xdotool key alt+6
await 240 ' checks complete, [0-9]* open, 0 in the way' "$mark" > /dev/null || fail "the checks hold the set back"
click "Hand over to the car"
line=$(await 60 ' handed over ' "$mark") || fail "nothing was handed over"
end_stop 12 "${WASHBOARD_STOP_S:-60}"
picture 4-after-the-stop
read -r _ _ _ identity folder <<< "$line"
[ "$identity" != "$first" ] || fail "the set after the stop is the one before it"
"$program" verify "$folder" > "$work/verdict" || fail "the set does not verify: $(cat "$work/verdict")"
step "done: one click and one key from the driver's words to the step"

