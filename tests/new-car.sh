#!/usr/bin/env bash
# A car from nothing, driven from outside: a new session, a data sheet typed by keyboard alone, a damper from the bench,
# the first curves, a saved session that passes its check and holds what was typed.
#
#   xvfb-run -a -s "-screen 0 1280x800x24 -noreset" tests/new-car.sh [PROGRAM] [FOLDER FOR PICTURES]
#
# Needs xdotool and ImageMagick; see drive.sh.
set -u -o pipefail

top=$(cd "$(dirname "$0")/.." && pwd)
program=$(realpath "${1:-$top/target/release/washboard}")
pictures=${2:-}
# shellcheck source=tests/drive.sh
source "$top/tests/drive.sh"

key() { xdotool key "$1"; sleep 0.5; }

# Types a value into the field that has the keyboard, or takes what stands there, and goes on to the next.
enter() {
    local mark
    mark=$(lines)
    [ "$1" = "=" ] || xdotool type --delay 40 -- "$1"
    xdotool key Return
    await 30 ' edit ' "$mark" > /dev/null || fail "typing $1 ($2) changed nothing"
    sleep 0.6
}

# Types all values of one step of the sitting.
type_step() {
    local wanted=$1 step field front rear
    while IFS=, read -r step field front rear _; do
        [ "$step" = "$wanted" ] || continue
        enter "$front" "$field"
        [ -z "$rear" ] || enter "$rear" "$field, rear"
    done < "$top/tests/data-sheet.csv"
}

# --------------------------------------------------------------------------------------------------------------------
cp "$top/tests/bench-front.csv" "$work/sets/"

step "a new session begins with a first sitting"
start
sleep 2
key ctrl+n
await 30 'opened "New car"' > /dev/null || fail "no new session"
sleep 1.5
picture 1-new

step "the data sheet is typed by keyboard alone"
type_step name
picture 2-name
key Return
sleep 1
type_step mass
picture 3-mass
key Return
sleep 1
type_step size
picture 4-size
key Return
sleep 1
type_step springs
picture 5-springs
key Return
sleep 1

step "the front damper comes from the bench"
click "Bench file of the front damper"
await 20 'dialog Damper bench data' > /dev/null || fail "no dialog for the bench file"
sleep 1
file=$(names | grep -F 'bench-front.csv' | head -n 1)
[ -n "$file" ] || fail "the bench file is not listed"
click "$file"
click "Open"
await 30 ' bench bench-front.csv ' > /dev/null || fail "the bench file was not read"
sleep 1.5
picture 6-bench
mark=$(lines)
click "Take it"
await 20 ' edit take bench data for front damper' "$mark" > /dev/null || fail "the bench data were not taken"
sleep 1
picture 7-dampers

step "modes and events as they are proposed, and the session is saved"
click "Next: modes"
sleep 0.5
picture 8-modes
click "Next: events"
sleep 0.5
picture 9-events
click "Next: save"
sleep 0.5
picture 10-save
click "Save the session…"
await 20 'dialog Save session' > /dev/null || fail "no dialog for the file"
sleep 1
click "Save"
line=$(await 30 ' saved ') || fail "nothing was saved"
saved=${line#* saved }
"$program" check "$saved" || fail "the saved session is not valid"
holds() { grep -qF "$1" "$saved" || fail "the saved session does not hold $1"; }
holds 'title: "Rowan coupe"'
holds 'wheelbase_m: 2.64'
holds 'roll_inertia_kg_m2: 505.0'
holds 'spring_rate_n_per_m: 25500.0'
holds 'spring_rate_n_per_m: 28000.0'
holds 'anti_roll_rate_n_m_per_rad: 22000.0'
# 842 + 798 kg on the scales less four wheels of 41.5 and 43 kg, and moments about the front axle, by hand.
holds 'body_mass_kg: 1471.0'
to_front=$(sed -n 's/^ *cg_to_front_axle_m: \([0-9.]*\),$/\1/p' "$saved")
awk -v found="$to_front" 'BEGIN { off = found - 2.64 * (798 - 86) / 1471; exit !(off < 1e-5 && off > -1e-5) }' ||
    fail "the centre of gravity is $to_front m behind the front axle"
holds 'current_a: [0.32, 0.8, 1.2, 1.6]'
if grep -q 'proposed: .*vehicle.wheelbase_m' "$saved"; then fail "a typed value is still marked as proposed"; fi

step "the first curves of the new car"
revision=$(grep -o ' revision [0-9]*' "$journal" | awk '{ print $2 }' | sort -n | tail -n 1)
click "Tune"
await 180 "board revision $revision fresh" > /dev/null || fail "no results of the new car"
[ -n "$(comfort)" ] || fail "no comfort figures of the new car"
sleep 2
picture 11-curves
"$program" evaluate "$saved" --mode everyday --event "country road" > "$work/card" || fail "the new car cannot be evaluated"
grep -q . "$work/card" || fail "the new car has no figures"

xdotool key ctrl+q
for _ in $(seq 100); do
    kill -0 "$pid" 2>/dev/null || break
    sleep 0.1
done
kill -0 "$pid" 2>/dev/null && fail "the program did not end, though everything was saved"
pid=
echo "new car: all is well; saved as $(basename "$saved")"
