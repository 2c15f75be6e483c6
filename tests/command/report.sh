#!/bin/sh
# passo report and passo list on the real program: names, periods, players, pages, logs that cannot be
# read. Session 15 of the trade's notes (trade.md section 4): 30 students' files, 4 passages, 7 days, one
# student without a row, one file with a torn last line: one table of 120 lines.
# report.sh PASSO BUILD SOURCE
set -u
passo=$1
source=$3
. "$source/tests/command/lib.sh"
trap 'rm -rf "$tmp"' EXIT
trap 'exit 1' HUP INT TERM
cd "$tmp" || exit 1
filed=$XDG_DATA_HOME/passo/passages
mkdir -p "$filed"
header=time,player,session,passage,piece,pass,part,loop,bars,variant,beat_unit,tempo,target,mark,marked_by,miss_bar,clean_in_a_row,move,next_tempo,play_s,rest_s,elapsed_s

is_80_wide() { [ "$(wc -L <"$tmp/out")" -le 80 ]; }
fits() { status_is 0 && err_empty && is_80_wide && is_plain_text "$tmp/out"; }
out_is() { [ "$(cat "$tmp/out")" = "$1" ]; }

# --- nothing there yet ---

run report
check "no log: said plainly, with what to do, exit 0" \
    eval 'fits && out_has "^No practice is recorded yet. To begin: passo climb NAME"'
run report --studio
check "no log, studio: said plainly" eval 'fits && out_has "^No practice of players is recorded from "'
run list
check "no log: the list comes" eval 'fits && out_has "^No passage of your own"'
check "reading makes no log" test ! -e "$XDG_DATA_HOME/passo/log.sqlite"

# --- thirty students ---

# week PLAYER SEED: a CSV of 7 days and 4 passages; which days and marks, the seed says.
week() {
    awk -v player="$1" -v seed="$2" -v header="$header" 'BEGIN {
        srand(seed)
        printf "%s\r\n", header
        split("Zum Trio,Fanfare,Chorale,Octave leaps", title, ",")
        for (day = 23; day <= 29; day++)
            for (t = 1; t <= 4; t++) {
                if ((day + t + seed) % 3 == 0)
                    continue
                for (pass = 1; pass <= 8; pass++) {
                    miss = rand() < 0.3
                    printf "2026-11-%dT1%d:%02d:00+01:00,%s,%d-%d,%s,Marrowby march,%d,climb,whole,33-36," \
                        "as written,quarter,%d,132,%s,key,%s,0,held,%d,8.000,8.000,%d.000\r\n", day, t, pass, player,
                        day, t, title[t], pass, 80 + 2 * (day - 23) + 4 * pass, miss ? "miss" : "clean",
                        miss ? 33 + pass % 4 : "", 84, 16 * pass
                }
            }
    }'
}
mkdir students
players=""
i=0
while [ $i -lt 30 ]; do
    # Not in the order of the alphabet.
    player=$(printf 'S%02d' $(((i * 7 + 3) % 30)))
    players="$players$player "
    if [ $i = 13 ]; then printf '%s\r\n' "$header" >"students/$player.csv"; else week "$player" $i >"students/$player.csv"; fi
    i=$((i + 1))
done
torn=$(echo "$players" | cut -d ' ' -f 5)
last=$(wc -l <"students/$torn.csv")
printf '2026-11-29T19:00:00+01:00,%s,29-9,Fanf' "$torn" >>"students/$torn.csv"
list=$(echo "$players" | sed 's/ $//; s/ /, /g')
# In the order of the class, not of the folder.
# shellcheck disable=SC2046 # one word a file
run import --log studio.sqlite $(for player in $players; do echo "students/$player.csv"; done)
check "session 15: the torn last line is told by file and line" err_has "students/$torn.csv.*line $((last + 1))"
run report --studio --log studio.sqlite --date 2026-11-29 --players "$list"
check "session 15: it fits the page" fits
check "session 15: the period is told" out_has '^Practice from 23 November to 29 November 2026$'
grep '^S[0-9][0-9] ' "$tmp/out" >rows
check "session 15: 120 lines" same "$(wc -l <rows | tr -d ' ')" 120
check "session 15: in the order that was asked for" \
    same "$(cut -d ' ' -f 1 rows | uniq | tr '\n' ' ')" "$players"
silent=$(echo "$players" | cut -d ' ' -f 14)
check "session 15: four rows without practice, of one student" \
    same "$(grep 'no practice recorded$' rows | cut -d ' ' -f 1 | uniq -c | tr -s ' ')" " 4 $silent"
check "session 15: days of 7, where it breaks" eval 'grep -q " [45] of 7 " rows && grep -q " bar 3[3-6] " rows'
run report --studio --log studio.sqlite --date 2026-11-29
check "without --players: those with a row, as the log met them" same \
    "$(grep '^S[0-9][0-9] ' "$tmp/out" | cut -d ' ' -f 1 | uniq | tr '\n' ' ')" \
    "$(echo "$players" | sed "s/$silent //")"
run report --studio Fanfare "zum trio" --log studio.sqlite --date 2026-11-29 --players "S01, S02"
check "passages in the order of the operands" same \
    "$(grep '^S0' "$tmp/out" | tr -s ' ' | cut -d ' ' -f 1-2 | tr '\n' ' ')" "S01 Fanfare S01 Zum S02 Fanfare S02 Zum "
run report --studio --log studio.sqlite --date 2026-12-20
check "a week without practice" eval 'fits && out_has "^No practice of players is recorded from 14 December"'
run report --studio --log studio.sqlite --out studio.html --date 2026-11-29
check "a page of the studio" eval 'status_is 0 && out_has "studio.html" && grep -q "S01" studio.html'

# --- one player ---

run report --player S01 --log studio.sqlite --date 2026-11-29
check "one player: all passages" eval 'fits && out_has "^Practice up to 29 November 2026: S01$" &&
    [ "$(grep -c "^The latest passes" "$tmp/out")" = 4 ]'
run report Fanfare --player S01 --log studio.sqlite --date 2026-11-29 --from 2026-11-27
check "one passage, a part of the week" eval 'fits && out_has "^Practice from 27 November to 29 November 2026" &&
    out_has "^Fanfare · Marrowby march · bars 33-36 · target quarter = 132$" && not out_has "Chorale"'
run report Fanfare --player S01 --log studio.sqlite --date 2026-11-29 --ascii
check "--ascii: no other letters" eval 'fits && ! LC_ALL=C grep -q "[^ -~]" "$tmp/out"'
LC_ALL=C run report Fanfare --player S01 --log studio.sqlite --date 2026-11-29
check "a locale without UTF-8: ASCII" eval 'fits && ! LC_ALL=C grep -q "[^ -~]" "$tmp/out"'
COLUMNS=44 run report --player S01 --log studio.sqlite --date 2026-11-29
check "COLUMNS says how wide" eval '[ "$(wc -L <"$tmp/out")" -le 44 ]'
run report --log studio.sqlite
check "the own passages of a studio's log: none, and whose there are" eval \
    'status_is 0 && out_has "^No practice is recorded" && err_has "the log has practice of S"'

# --- pages ---

run report Fanfare --player S01 --log studio.sqlite --out fanfare.html
check "a page, and where it is" eval 'fits && out_has "^The page is in fanfare.html" && grep -q "</html>" fanfare.html'
cp fanfare.html before.html
refused "a page that is there stays" "fanfare.html" "--force" -- report Fanfare --player S01 --log studio.sqlite --out fanfare.html
check "to the byte" cmp -s fanfare.html before.html
run report Chorale --player S01 --log studio.sqlite --out fanfare.html --force
check "--force writes over it" eval 'status_is 0 && grep -q Chorale fanfare.html'
run report --player S01 --log studio.sqlite --out no/such/folder.html
check "no such folder: a fault of the machine" eval 'status_is 3 && err_has "no/such/folder.html" && out_empty'
run report --player S01 --log studio.sqlite --out /dev/full
check "a full disk: a fault of the machine" eval 'status_is 3 && err_has "/dev/full" && out_empty'
check "nothing is left beside them" same "$(find . -name '.passo-*')" ""

# --- what cannot be done ---

refused "an unknown name" "Fanfar:" 'mean "Fanfare"' -- report Fanfar --player S01 --log studio.sqlite
refused "two unknown names: both are told" "Qqqqqq:" "Zzzzzz:" "passo list" -- \
    report Qqqqqq Zzzzzz --player S01 --log studio.sqlite
refused "an unknown player" "S1:" "mean S" -- report --player S1 --log studio.sqlite
refused "--players without --studio" "--studio" -- report --players S01
refused "--player with --studio" "--players" -- report --studio --player S01
refused "no names" "names are wanted" -- report --studio --players " , "
refused "a period that runs backward" "--from" -- report --from 2026-11-20 --to 2026-11-10
refused "a log that is not there" "nowhere.sqlite" "no such file" -- report --log nowhere.sqlite
echo "no log" >text.sqlite
refused "a log that is none" "text.sqlite" -- report --log text.sqlite
refused "an empty name for a page" "--out" -- report --out "" --log studio.sqlite
check "into a pipe that closes is no fault" eval '"$passo" report --player S01 --log studio.sqlite | head -n 1 >/dev/null'

# --- the list ---

printf '[passage]\ntitle = Fanfare\npiece = Marrowby march\nbars = 33-36\ntarget = 132\n' >"$filed/fanfare.passo"
printf '[passage]\ntitle = Leaps\nmeter = 6/8\ntarget = dotted quarter = 96\n' >"$filed/leaps.passo"
run list
check "never practised: due" eval 'fits && out_has "^  NAME .*TARGET .*WON  SECURE  PASSES  MIN  LAST" &&
    out_has "^  fanfare  quarter = 132  .* -  *-  *-  *-  not yet, due$"'
{
    printf '%s\r\n' "$header"
    # 12 passes on each of three days, all at 95 % of the target or faster; one rung won each day.
    for day in 16 17 18; do
        for pass in 1 2 3 4 5 6 7 8 9 10 11 12; do
            printf '2026-11-%dT18:%02d:00+01:00,,%d,Fanfare,Marrowby march,%d,climb,whole,33-36,as written,quarter,%d,132,%s,key,,0,%s,132,10.000,10.000,%d.000\r\n' \
                $day $pass $day $pass $((126 + pass / 4)) "$([ $pass = 9 ] && echo miss || echo clean)" \
                "$([ $pass = 5 ] && echo raised || echo held)" $((20 * pass))
        done
    done
} >own.csv
run import own.csv
check "own passes are taken in" status_is 0
run list --date 2026-11-18
check "best won, passes, minutes, today" eval 'fits && out_has "^  fanfare  quarter = 132  *127  *[0-9<+]*  *36  *6  today$"'
run list --date 2026-11-19
check "three days held: not due on the next" out_has '^  fanfare .*  yesterday$'
run list --date 2026-11-20
check "but after two" out_has '^  fanfare .*  2 days ago, due$'
run list --date 2026-12-24
check "a date after two weeks" out_has '^  fanfare .*  18 Nov, due$'
run list --date 2027-01-24
check "with its year in another" out_has '^  fanfare .*  18 Nov 2026, due$'
run list --date 2026-11-15
check "before any practice" out_has '^  fanfare .* not yet, due$'
run report fanfare --date 2026-11-19
check "a report by the filed name" eval 'fits && out_has "^Fanfare · Marrowby march" && out_has "Due again tomorrow\.$"'
run report leaps --date 2026-11-19
check "a filed passage without practice" eval 'fits && out_has "^Leaps$" && out_has "^No practice of it is recorded yet\.$"'
run list --log text.sqlite
check "a log that cannot be read: the list all the same, and a sentence" \
    eval 'status_is 0 && err_has "text.sqlite" && out_has "^  fanfare  quarter = 132 " && out_has "^Shipped" && is_80_wide'
rm -f "$filed/leaps.passo"
run list --date 2026-11-15
check "a title where there is room" out_has '^  fanfare .*not yet, due  Fanfare$'
run list --help
check "list --help" eval 'status_is 0 && out_has "secure" && out_has "^  --log FILE"'
run report --help
check "report --help" eval 'status_is 0 && out_has "^  --studio" && out_has "^  --out PAGE.html"'

run report --studio --log studio.sqlite --players "S01, S02" --date 2026-11-29
cp "$tmp/out" once
run report --studio --log studio.sqlite --players "S01,S02, S01,S02" --date 2026-11-29
check "a player who is named twice counts once" cmp -s once "$tmp/out"

finish
