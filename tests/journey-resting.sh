#!/usr/bin/env bash
# A session that rests on another, driven from outside: what is its own is listed and goes back, a change is saved as a
# difference alone, the session below changes and is followed, and what it comes to verifies.
#
#   xvfb-run -a -s "-screen 0 1280x800x24 -noreset" tests/journey-resting.sh [PROGRAM] [FOLDER FOR PICTURES]
set -u -o pipefail
top=$(cd "$(dirname "$0")/.." && pwd)
program=$(realpath "${1:-$top/target/release/washboard}")
pictures=${2:-}
# shellcheck source=tests/drive.sh
source "$top/tests/drive.sh"

# Does what stands in the list of everything that can be done.
act() {
    xdotool key ctrl+k
    sleep 0.6
    xdotool type --delay 20 "$1"
    sleep 0.6
    xdotool key Return
    sleep 0.6
}

# --------------------------------------------------------------------------------------------------------------------
step "a variant with softer tyres rests on the session of the week"
cp "$top/demo-sessions/estate.ron" "$top/demo-sessions/dip.csv" "$work/sets"
cat > "$work/sets/winter.ron" <<'RON'
(format: 1, rests_on: "estate.ron", title: "winter tyres",
  numbers: [(path: "vehicle.front.tyre_rate_n_per_m", value: 210000.0), (path: "vehicle.rear.tyre_rate_n_per_m", value: 210000.0)])
RON
start winter.ron
await 180 'board revision 0 fresh' > /dev/null || fail "no results of the session"
xdotool key alt+1
sleep 0.8
click "show them, parts of the session's own"
sleep 0.6
picture 1-own-parts
names | grep -q '^car, rear: vertical tyre rate, back to what estate.ron has$' || fail "what deviates is not listed"

step "one part goes back, a cell becomes its own, and only that is saved"
mark=$(lines)
click "car, rear: vertical tyre rate, back to what estate.ron has"
await 10 ' edit change ' "$mark" > /dev/null || fail "the tyre rate did not go back"
xdotool key alt+3
sleep 0.6
cell=$(names | grep -E '^heave, 80 km/h, roughness 0 ' | head -n 1)
click "$cell"
mark=$(lines)
xdotool type --delay 20 "2500"
sleep 0.3
xdotool key Return
await 10 ' edit change a cell' "$mark" > /dev/null || fail "the cell was not changed"
xdotool key Escape Escape ctrl+s
await 20 ' saved ' "$mark" > /dev/null || fail "nothing was saved"
grep -q 'rests_on: "estate.ron"' "$work/sets/winter.ron" || fail "the file does not say what it rests on"
[ "$(wc -c < "$work/sets/winter.ron")" -lt 1500 ] || fail "more than differences was saved"

step "the session below changes: what is not its own follows"
sed -i 's/body_mass_kg: 1560.0/body_mass_kg: 1590.0/' "$work/sets/estate.ron"
grep -q 'body_mass_kg: 1590.0' "$work/sets/estate.ron" || fail "the session below was not changed"
mark=$(lines)
act "follow the session below"
await 20 ' edit follow estate.ron' "$mark" > /dev/null || fail "the change below was not taken in"
sleep 1
picture 2-followed
xdotool key ctrl+s
await 20 ' saved ' "$mark" > /dev/null || fail "nothing was saved after following"
xdotool key ctrl+q
ended
"$program" check "$work/sets/winter.ron" > "$work/verdict" || fail "the saved session is not valid"
grep -q '2 parts of its own' "$work/verdict" || fail "check lists something else: $(cat "$work/verdict")"
"$program" convert "$work/sets/winter.ron" "$work/sets/whole.ron" --whole
grep -q 'body_mass_kg: 1590' "$work/sets/whole.ron" || fail "the mass of the session below did not follow"
for file in winter whole; do
    "$program" export "$work/sets/$file.ron" --mode gentle --out "$work/$file" > /dev/null || fail "no set of $file"
done
"$program" verify "$work/winter" --against "$work/sets/whole.ron" > /dev/null || fail "both are not the same set"
cmp -s <(grep -o '"identity": "[0-9a-f]*"' "$work/winter/manifest.json") \
    <(grep -o '"identity": "[0-9a-f]*"' "$work/whole/manifest.json") || fail "both have different identities"
step "done: a variant of $(wc -c < "$work/sets/winter.ron") bytes follows the session of the week"
