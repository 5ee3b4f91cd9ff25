#!/usr/bin/env bash
# Pictures of every place and of what is looked at aside, in three themes and two sizes, to be looked at.
#
#   tests/pictures.sh [PROGRAM] [FOLDER] [SIZE…]
#
# With WASHBOARD_README=1 only those of the readme, small and into assets/pictures.
# Sizes as in 1280x800. The folder (target/pictures unless said otherwise) is not committed. Needs Xvfb, xdotool and ImageMagick.
set -u -o pipefail

top=$(cd "$(dirname "$0")/.." && pwd)
program=$(realpath "${1:-$top/target/release/washboard}")
folder=${2:-$top/target/pictures}
sizes=("${@:3}")
[ ${#sizes[@]} -gt 0 ] || sizes=(1280x800 1920x1080)
mkdir -p "$folder"
folder=$(realpath "$folder")

# Inside a display of one size: the whole round.
if [ "${WASHBOARD_ROUND:-}" ]; then
    size=$WASHBOARD_ROUND
    work=$(mktemp -d)
    journal=$work/journal
    : > "$journal"
    mkdir -p "$work/sets"
    (cd "$work/sets" && XDG_DATA_HOME=$work/data WASHBOARD_JOURNAL=$journal WASHBOARD_DIALOGS=inside exec "$program") &
    pid=$!
    trap 'kill "$pid" 2>/dev/null; rm -rf "$work"' EXIT
    for _ in $(seq 300); do
        window=$(xdotool search --onlyvisible --pid "$pid" 2>/dev/null | tail -n 1)
        [ -n "$window" ] && break
        kill -0 "$pid" 2>/dev/null || { echo "pictures: the program ended at once" >&2; exit 1; }
        sleep 0.1
    done
    xdotool windowsize "$window" "${size%x*}" "${size#*x}" windowmove "$window" 0 0 windowfocus --sync "$window"
    for _ in $(seq 1200); do grep -q 'board revision 0 fresh' "$journal" && break; sleep 0.1; done

    key() { xdotool key "$@"; sleep 0.6; }
    # Does what stands in the list of everything that can be done.
    act() { key ctrl+k; xdotool type "$1"; sleep 0.4; key Return; sleep 0.4; }
    picture() { sleep 0.4; import -window root "$folder/$size-$theme-$1.png"; }
    middle() {
        awk -v name="$1" '
            $2 == "gone" { delete at[$3] }
            $2 == "control" {
                text = $0
                sub(/^[0-9]+ control [0-9]+ -?[0-9]+ -?[0-9]+ -?[0-9]+ -?[0-9]+ /, "", text)
                if (text == name) at[$3] = int(($4 + $6) / 2) " " int(($5 + $7) / 2); else delete at[$3]
            }
            END { for (id in at) print at[id] }' "$journal" | head -n 1
    }
    click() { read -r x y <<< "$(middle "$1")"; xdotool mousemove "$x" "$y"; sleep 0.4; xdotool click 1; sleep 0.6; }

    xdotool mousemove 2 2
    if [ "${WASHBOARD_README:-}" ]; then
        theme=light
        key alt+3; sleep 2; picture tune
        key alt+4
        for _ in $(seq 2400); do grep -q ' columns ' "$journal" && break; sleep 0.1; done
        sleep 2; picture side-by-side
        exit 0
    fi
    for theme in light dark high-contrast; do
        act "$theme theme"
        for place in 1:car 2:roads 3:tune 4:side-by-side 5:logbook 6:hand-over; do
            key "alt+${place%%:*}"
            picture "${place#*:}"
        done
        key alt+3
        for plot in "gain over speed" "body transmissibility" "wheel-load variation" "comfort" "event over time"; do
            act "enlarge $plot"
            picture "large-${plot// /-}"
            key Escape
        done
        key F1; picture keys; key Escape
        key ctrl+k; picture what-can-be-done; key Escape
        act "about"; picture about; key Escape
        act "tour through"; picture tour; key Escape
        act "show log"; picture log; key Escape
    done

    # A set goes out, then the window has something that differs from it.
    theme=light
    act "light theme"
    key alt+6
    click "Choose the folder"
    sleep 1; picture dialog
    click "Choose this folder"
    click "I have read this and take it into account."
    for _ in $(seq 2400); do grep -q 'checks complete, 0 open' "$journal" && break; sleep 0.1; done
    picture checks-complete
    "$program" layout "$top/demo-sessions/estate.ron" --mode gentle --mode everyday --mode firm --out "$work/sets/unit.ron"
    click "Hand over: control unit"
    click "Propose a layout"
    for _ in $(seq 600); do grep -q 'layout proposed' "$journal" && break; sleep 0.1; done
    for theme in light dark high-contrast; do
        act "$theme theme"
        key alt+6; xdotool mousemove 2 2; picture control-unit-proposed
    done
    theme=light
    act "light theme"
    key alt+6
    click "leave the proposed layout"
    click "Choose a layout…"
    # Files are listed with a sign before their name.
    sleep 1; click "$(awk '$2 == "control" && /unit\.ron$/ { sub(/^[0-9]+ control [0-9]+ -?[0-9]+ -?[0-9]+ -?[0-9]+ -?[0-9]+ /, ""); print; exit }' "$journal")"
    click "Open"
    for _ in $(seq 2400); do grep -q 'figures in the car' "$journal" && break; sleep 0.1; done
    for theme in light dark high-contrast; do
        act "$theme theme"
        key alt+6; xdotool mousemove 2 2; picture control-unit
    done
    click "no layout"
    theme=light
    act "light theme"
    key alt+6
    click "Hand over: checks"
    sleep 1
    click "Hand over to the car"
    for _ in $(seq 300); do grep -q ' handed over ' "$journal" && break; sleep 0.1; done
    xdotool mousemove 2 2
    for theme in light dark high-contrast; do
        act "$theme theme"
        key alt+6; picture handed-over
        key alt+5; picture logbook-with-set
    done
    theme=light
    act "light theme"
    key alt+3
    click "$(awk '$2 == "control" && / heave, 80 km\/h, roughness/ && !/handle/ { sub(/^[0-9]+ control [0-9]+ -?[0-9]+ -?[0-9]+ -?[0-9]+ -?[0-9]+ /, ""); print; exit }' "$journal")"
    xdotool type '+5%'; key Return
    sleep 2; picture tune-differs
    key ctrl+q; picture question; key Escape
    for _ in 1 2 3 4 5 6 7 8 9 10; do key ctrl+plus; done
    for place in 1:car 2:roads 3:tune 4:side-by-side 5:logbook 6:hand-over; do
        key "alt+${place%%:*}"
        picture "text-200-${place#*:}"
    done
    exit 0
fi

[ "${WASHBOARD_README:-}" ] && sizes=(1280x800)
for size in "${sizes[@]}"; do
    WASHBOARD_ROUND=$size xvfb-run -a -s "-screen 0 ${size}x24 -noreset" bash "$0" "$program" "$folder" "$size" || exit 1
done
if [ "${WASHBOARD_README:-}" ]; then
    # Few colours keep them small; a page of the report stands beside them.
    small() { convert "$1" +dither -colors 48 -define png:compression-level=9 "PNG8:$top/assets/pictures/$2.png"; }
    for place in tune side-by-side; do small "$folder/1280x800-light-$place.png" "$place"; done
    "$program" report "$top/demo-sessions/estate.ron" --time 2026-11-25T18:00:00Z --out "$folder/report.pdf"
    pdftoppm -r 80 -png "$folder/report.pdf" "$folder/report" 2>/dev/null
    page() { find "$folder" -name "report-$1.png" -o -name "report-0$1.png" | head -n 1; }
    convert "$(page 1)" "$(page 2)" "$(page 5)" +append -resize 1500x "$folder/report-pages.png"
    small "$folder/report-pages.png" report
fi
echo "pictures: $(find "$folder" -name '*.png' | wc -l) in $folder"
