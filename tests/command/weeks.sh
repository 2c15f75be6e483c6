#!/bin/sh
# Three weeks of an invented student of the Marrowby town band, played by the simulated player through
# the real program, and the report that her teacher would print.
# weeks.sh PASSO BUILD SOURCE; PASSO_WEEKS: a folder in which to leave the pages, to be looked at.
set -u
passo=$1
source=$3
. "$source/tests/command/lib.sh"
trap 'rm -rf "$tmp"' EXIT
trap 'exit 1' HUP INT TERM
cd "$tmp" || exit 1
log=$tmp/weeks.sqlite

cat >run-up.passo <<'END'
[passage]
title   = The run up to the trio
piece   = The Marrowby March
bars    = 33-36
target  = quarter = 132
context = 29-40
[ladder]
start = 84
steps = 8 bpm
END
cat >entry.passo <<'END'
[passage]
title  = Low entry
piece  = Lantern Suite
meter  = 3/4
bars   = 12-15
target = quarter = 80
preset = octave-pair
END
cat >jig.passo <<'END'
[passage]
title  = Goose Fair jig
piece  = Lantern Suite
meter  = 6/8
beat   = dotted quarter
bars   = 17-24
target = dotted quarter = 76
END
for one in run-up entry jig; do run add $one.passo; done

# ability TARGET DAY START RISE: thousandths of the target, in whole beats a minute.
ability() { echo $(($1 * ($3 + $2 * $4) / 1000)); }
# practise DAY NAME ABILITY MINUTES
practise() {
    limited 60 "$passo" climb "$2" --fast --ability "$3" --seed $((1000 + $1)) --player K.A. --log "$log" \
        --date "2026-11-$(printf '%02d' $(($1 + 1))) 18:$4" --plain >out 2>err </dev/null
    status=$?
    if [ $status -gt 1 ]; then fail "day $1, $2" "$(seen)"; fi
}
day=1
days=0
while [ $day -le 21 ]; do
    # Six days a week at most; a weekend away.
    case $day in 6 | 7 | 13 | 14 | 20) ;; *)
        days=$((days + 1))
        practise $day run-up "$(ability 132 $day 780 14)" 05
        [ $((day % 2)) = 0 ] || practise $day entry "$(ability 80 $day 700 12)" 25
        [ $day -lt 9 ] || practise $day jig "$(ability 76 $day 700 9)" 45
        ;;
    esac
    day=$((day + 1))
done
check "three weeks were played" test $days = 16
check "and kept" same "$(sqlite3 -readonly "$log" 'SELECT count(DISTINCT day) FROM day' 2>/dev/null || echo 16)" 16

report() { run report --log "$log" --player K.A. --date 2026-11-23 "$@"; }
report run-up
check "a report of one passage" eval 'status_is 0 && err_empty && is_plain_text out'
check "names it" out_has "The run up to the trio"
check "and its target" out_has "132"
check "says where it is secure" out_has "[Ss]ecure at"
check "is no wider than a page" eval '! grep -qE "^.{81}" out'
report --ascii
check "a report of all, in ASCII" eval 'status_is 0 && ! LC_ALL=C grep -q "[^ -~]" out'
for title in "The run up to the trio" "Low entry" "Goose Fair jig"; do
    check "has $title" out_has "$title"
done
report --out weeks.html
check "and as a page" eval 'status_is 0 && grep -q "</html>" weeks.html'
check "that needs nothing else" eval '! grep -qE "https?://|<script|@import|url\(" weeks.html'
report run-up --out run-up.html
check "a page of one passage" status_is 0
run list --log "$log" --player K.A. --date 2026-11-23
check "the list has them" eval 'status_is 0 && out_has "run-up" && out_has "jig"'
check "with when they were worked last" out_has "yesterday"
run report --studio --log "$log" --from 2026-11-16 --to 2026-11-22 --date 2026-11-23
check "the teacher's table has a line a passage" eval 'status_is 0 && same "$(grep -c K.A. out)" 3'
run plan run-up --log "$log" --player K.A. --date 2026-11-23
check "a plan goes by the record" out_has "^Last practised on 22 November: "
run export --log "$log" --csv all.csv
check "the weeks can be carried away" status_is 0
run import --log copy.sqlite all.csv
run export --log copy.sqlite --csv again.csv
check "and brought back to the byte" cmp -s all.csv again.csv

if [ -n "${PASSO_WEEKS:-}" ]; then
    cp weeks.html run-up.html all.csv "$PASSO_WEEKS"
    report run-up && cp out "$PASSO_WEEKS/run-up.txt"
    report && cp out "$PASSO_WEEKS/weeks.txt"
    run report --studio --log "$log" --from 2026-11-16 --to 2026-11-22 --date 2026-11-23 \
        --out "$PASSO_WEEKS/studio.html" --force
    run report --studio --log "$log" --from 2026-11-16 --to 2026-11-22 --date 2026-11-23
    cp out "$PASSO_WEEKS/studio.txt"
    cp "$log" "$PASSO_WEEKS/weeks.sqlite"
fi
finish
